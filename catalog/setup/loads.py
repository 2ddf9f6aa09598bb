"""What the pressure of a line pulls at ring and nut, alone and at the design factor."""

from msgspec import Struct

from catalog.formulas.assembly import design_pressure, nut_load, separation_force
from catalog.rows import Series
from catalog.setup.fitting import FittingSetup
from catalog.setup.service import ServiceSetup
from catalog.working import Num, Step, Working, cell


class LineLoads(Struct, frozen=True, kw_only=True):
    """Loads at the pressure that counts, and at that times the design factor of the series."""

    series: Series
    separation_kn: Num
    nut_kn: Num
    separation_at_design_kn: Num
    nut_at_design_kn: Num
    steps: tuple[Step, ...]


def resolve_loads(fitting: FittingSetup, service: ServiceSetup) -> LineLoads | None:
    """Loads on this fitting, None while the pressure that counts or the size is not known."""
    size, series = fitting.size, fitting.series
    if service.counted_mpa is None or size is None or series is None:
        return None
    w = Working()
    od = cell(size, "od_mm", "od")
    seal = cell(size, "seal_diameter_mm", "seal diameter")
    factor = cell(series, "design_factor", "design factor")

    def loads(pressure: Num, when: str) -> tuple[Num, Num]:
        return (
            w.calc(f"separation force{when}", separation_force, p=pressure, D=od),
            w.calc(f"nut load{when}", nut_load, p=pressure, D_seal=seal),
        )

    separation, nut = loads(service.counted_mpa, "")
    design = w.calc(
        "pressure at the design factor", design_pressure, p=service.counted_mpa, factor=factor
    )
    separation_at_design, nut_at_design = loads(design, ", at the design factor")
    return LineLoads(
        series=series,
        separation_kn=separation,
        nut_kn=nut,
        separation_at_design_kn=separation_at_design,
        nut_at_design_kn=nut_at_design,
        steps=tuple(w.steps),
    )
