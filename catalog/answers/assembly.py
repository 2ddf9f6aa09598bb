"""The rating and the loads of an assembly as an answer tells them, with their working."""

from msgspec import UNSET

from catalog.answers.shapes import AssemblyRating, Limit, Loads
from catalog.answers.sheet import Given, Sheet, given, plain
from catalog.calc.asme import ASME_B31_3
from catalog.calc.assembly import (
    DERATED,
    DESIGN_PRESSURE,
    MARGIN,
    NUT_LOAD,
    PROOF_LIMIT,
    SEPARATION_FORCE,
    design_pressure_mpa,
    margin,
    nut_load_kn,
    separation_force_kn,
)
from catalog.calc.stress import (
    BORE_YIELD,
    DESIGN_STRESS,
    WELDED_STRESS,
    design_stress_mpa,
    welded_stress_mpa,
)
from catalog.calc.tube import DIN_2413_PULSATING, ISO_10763
from catalog.calc.tube_section import (
    BENT_WALL,
    DIN_2413_UNDER,
    EFFECTIVE_WALL,
    din_2413_under_percent,
    effective_wall_mm,
)
from catalog.index import FormulaGrades
from catalog.quantities import FACTOR, in_mpa, quantity
from catalog.rows import Size, Strength
from catalog.setup.rating import DESIGN_FACTOR, ENDURANCE_FACTOR, Rating
from catalog.setup.resolving import Setup
from catalog.terms import Unit
from catalog.working import WorkingStep


def assembly_of(setup: Setup) -> AssemblyRating | None:
    """Rating of an assembly, None while tube or fitting cannot be rated."""
    rating, service = setup.rating, setup.service
    if rating is None or service is None or service.counted_mpa is None:
        return None
    if not rating.static_mpa or not rating.yield_limit_mpa or rating.fitting_mpa is None:
        return None
    if service.facts.pulsating is UNSET or setup.tube.quality is None:
        return None
    if service.facts.pulsating and not rating.pulsating_mpa:
        return None
    limits = _limits(setup, rating)
    governing, lowest_mpa, _ = min(limits, key=lambda limit: limit[1])
    told = setup.units.pressure
    return AssemblyRating(
        pressure=quantity(lowest_mpa, "MPa", told),
        governing=governing,
        counted_pressure=quantity(service.counted_mpa, "MPa", told),
        margin=quantity(margin(lowest_mpa, service.counted_mpa), "1", "1").value,
        limits=tuple(
            Limit(of=of, pressure=quantity(mpa, "MPa", told), method=how) for of, mpa, how in limits
        ),
    )


def _limits(setup: Setup, rating: Rating) -> tuple[tuple[str, float, str], ...]:
    other = setup.fitting.facts.other_end_rating
    if other is UNSET:
        return rating.limits
    return (*rating.limits, ("other-end", in_mpa(other), "as stated"))


def loads_of(setup: Setup) -> Loads | None:
    """Loads of an assembly at the pressure that counts, None while it or the size is not known."""
    service, size, series = setup.service, setup.fitting.size, setup.fitting.series
    if service is None or service.counted_mpa is None or size is None or series is None:
        return None
    mpa, od_mm, seal_mm = service.counted_mpa, size.od_mm, size.seal_diameter_mm
    told, factor = setup.units.force, series.design_factor
    design_mpa = design_pressure_mpa(mpa, factor)
    return Loads(
        separation_force=quantity(separation_force_kn(mpa, od_mm), "kN", told),
        separation_force_at_design_factor=quantity(
            separation_force_kn(design_mpa, od_mm), "kN", told
        ),
        nut_load=quantity(nut_load_kn(mpa, seal_mm), "kN", told),
        nut_load_at_design_factor=quantity(nut_load_kn(design_mpa, seal_mm), "kN", told),
        design_factor=factor,
    )


def rating_steps(grades: FormulaGrades, setup: Setup) -> tuple[WorkingStep, ...]:
    """Working of every limit that is known; nothing where nothing is rated."""
    if setup.rating is None:
        return ()
    sheet = Sheet(grades, setup.units)
    _add_walls(sheet, setup, setup.rating)
    _add_tube(sheet, setup, setup.rating)
    _add_yield(sheet, setup, setup.rating)
    _add_fitting(sheet, setup, setup.rating)
    _add_margin(sheet, setup)
    return tuple(sheet.steps)


def load_steps(grades: FormulaGrades, setup: Setup) -> tuple[WorkingStep, ...]:
    """Working of the loads; nothing where nothing is rated."""
    sheet = Sheet(grades, setup.units)
    _add_loads(sheet, setup)
    return tuple(sheet.steps)


def _od(sheet: Sheet, setup: Setup) -> Given:
    return given("D", setup.tube.od_mm or 0.0, "mm", sheet.length, "od", "/tube/od")


def _add_walls(sheet: Sheet, setup: Setup, rating: Rating) -> None:
    tube = setup.tube
    if not rating.wall_mm or tube.wall_mm is None:
        return  # nothing is left of the wall, which has its own finding
    _add_wall(sheet, setup, "wall counted", rating.wall_mm, 0.0, "formula")
    row, under = tube.row, tube.under_percent
    if rating.least_wall_mm and row is not None and under is not None:
        _add_wall(sheet, setup, "least wall", rating.least_wall_mm, under, row.ref)
    if rating.pulsating_mpa and rating.din_wall_mm and tube.od_mm is not None:
        name, least = "under-tolerance of DIN 2413", din_2413_under_percent(tube.od_mm)
        sheet.step(DIN_2413_UNDER, name, least, "percent", "percent", _od(sheet, setup))
        under = rating.din_under_percent
        origin = name if under == least or row is None else row.ref
        _add_wall(sheet, setup, "wall of DIN 2413", rating.din_wall_mm, under, origin)


def _add_wall(
    sheet: Sheet, setup: Setup, name: str, wall_mm: float, under_percent: float, origin: str
) -> None:
    """Wall that is left of the nominal one, and what a bend leaves of that."""
    service, rating, told = setup.service, setup.rating, sheet.length
    if service is None or rating is None or setup.tube.wall_mm is None:
        return
    nominal = given("t_nominal", setup.tube.wall_mm, "mm", told, "nominal wall", "/tube/wall")
    at = "/service/corrosion_allowance"
    lost = given("c", service.corrosion_mm, "mm", told, "corrosion", at)
    under = plain("u", under_percent, "percent", "under-tolerance of the wall", origin)
    if rating.bend_mm is None:
        sheet.step(EFFECTIVE_WALL, name, wall_mm, "mm", told, nominal, under, lost)
        return
    straight_mm = effective_wall_mm(setup.tube.wall_mm, under_percent, service.corrosion_mm)
    before = f"{name}, straight"
    sheet.step(EFFECTIVE_WALL, before, straight_mm, "mm", told, nominal, under, lost)
    radius = given("R", rating.bend_mm, "mm", told, "least radius of the bends", "/tube/bends")
    wall = given("t", straight_mm, "mm", told, "wall", before)
    sheet.step(BENT_WALL, name, wall_mm, "mm", told, wall, radius, _od(sheet, setup))


def _add_tube(sheet: Sheet, setup: Setup, rating: Rating) -> None:
    strength, told = rating.strength, sheet.pressure
    if strength is None or setup.tube.quality is None:
        return
    stated = "formula" if setup.tube.quality == 1.0 else "/tube/quality_factor"
    quality = plain("E", setup.tube.quality, "1", "quality factor of the weld", stated)
    if rating.static_mpa and rating.static_method == "asme-b31.3":
        _add_b31(sheet, setup, rating, strength, quality)
    elif rating.static_mpa and strength.tensile_mpa is not None and rating.wall_mm:
        stress_mpa = design_stress_mpa(strength.tensile_mpa, DESIGN_FACTOR)
        name = "design stress, static"
        sheet.step(
            DESIGN_STRESS,
            name,
            stress_mpa,
            "MPa",
            "MPa",
            plain("R", strength.tensile_mpa, "MPa", "tensile strength", strength.ref),
            plain("factor", DESIGN_FACTOR, "1", "factor of ISO 10763", "formula"),
        )
        stress = welded(sheet, stress_mpa, "MPa", name, quality)
        sheet.step(
            ISO_10763,
            "tube, static",
            rating.static_mpa,
            "MPa",
            told,
            stress,
            _od(sheet, setup),
            given("t", rating.wall_mm, "mm", sheet.length, "wall, d = D - 2 t", "wall counted"),
        )
    if rating.pulsating_mpa and strength.endurance_mpa is not None and rating.din_wall_mm:
        stress_mpa = design_stress_mpa(strength.endurance_mpa, ENDURANCE_FACTOR)
        name = "design stress, pulsating"
        sheet.step(
            DESIGN_STRESS,
            name,
            stress_mpa,
            "MPa",
            "MPa",
            plain("R", strength.endurance_mpa, "MPa", "endurance strength", strength.ref),
            plain("factor", ENDURANCE_FACTOR, "1", "factor of DIN 2413", "formula"),
        )
        stress = welded(sheet, stress_mpa, "MPa", name, quality)
        wall = "wall of DIN 2413"
        sheet.step(
            DIN_2413_PULSATING,
            "tube, pulsating",
            rating.pulsating_mpa,
            "MPa",
            told,
            stress,
            _od(sheet, setup),
            given("t", rating.din_wall_mm, "mm", sheet.length, "least wall", wall),
        )


def welded(sheet: Sheet, stress_mpa: float, told: Unit, name: str, quality: Given) -> Given:
    """Stress of the step `name` as an input, after a step of what the weld leaves of it."""
    stress = given("S", stress_mpa, "MPa", told, "design stress", name)
    if quality.value == 1.0:
        return stress
    left_mpa, name = welded_stress_mpa(stress_mpa, quality.value), f"{name}, that the weld leaves"
    sheet.step(WELDED_STRESS, name, left_mpa, "MPa", told, stress, quality)
    return given("S", left_mpa, "MPa", told, "design stress", name)


def _add_b31(
    sheet: Sheet, setup: Setup, rating: Rating, strength: Strength, quality: Given
) -> None:
    if strength.allowable_mpa is None or rating.static_mpa is None or not rating.least_wall_mm:
        return
    sheet.step(
        ASME_B31_3,
        "tube, static",
        rating.static_mpa,
        "MPa",
        sheet.pressure,
        plain("S", strength.allowable_mpa, "MPa", "allowable stress", strength.ref),
        quality,
        plain("W", 1.0, "1", "weld is not weakened by heat", "formula"),
        plain("Y", 0.4, "1", "below the creep range", "formula"),
        _od(sheet, setup),
        given("t", rating.least_wall_mm, "mm", sheet.length, "least wall", "least wall"),
    )


def _add_yield(sheet: Sheet, setup: Setup, rating: Rating) -> None:
    material, service, told = setup.tube.material, setup.service, sheet.pressure
    if material is None or material.yield_mpa is None or service is None:
        return
    if rating.yield_at_mpa is None or rating.yield_limit_mpa is None or not rating.least_wall_mm:
        return
    sheet.step(
        BORE_YIELD,
        "bore yields",
        rating.yield_at_mpa,
        "MPa",
        told,
        plain("Re", material.yield_mpa, "MPa", "yield strength, cold", material.ref),
        _od(sheet, setup),
        given(
            "t", rating.least_wall_mm, "mm", sheet.length, "least wall, d = D - 2 t", "least wall"
        ),
    )
    sheet.step(
        PROOF_LIMIT,
        "tube, yield margin",
        rating.yield_limit_mpa,
        "MPa",
        told,
        given("p_yield", rating.yield_at_mpa, "MPa", told, "bore yields", "bore yields"),
        plain("proof factor", service.proof_factor, "1", "factor", "/service/proof_factor"),
    )


def _add_fitting(sheet: Sheet, setup: Setup, rating: Rating) -> None:
    size, derating = setup.fitting.size, rating.derating
    if size is None or derating is None or rating.fitting_mpa is None:
        return
    if size.rated_pressure_bar is None:
        return
    rated_mpa = size.rated_pressure_bar * FACTOR["bar"]
    sheet.step(
        DERATED,
        "fitting at temperature",
        rating.fitting_mpa,
        "MPa",
        sheet.pressure,
        given("p_rated", rated_mpa, "MPa", sheet.pressure, "rated pressure", size.ref),
        plain("factor", derating.factor, "1", "derating", derating.ref),
    )


def _add_margin(sheet: Sheet, setup: Setup) -> None:
    rating, ring = assembly_of(setup), setup.fitting.ring
    counted = _counted(sheet, setup)
    if rating is None or counted is None:
        return
    lowest = min(rating.limits, key=lambda limit: limit.pressure.value)
    origins = {
        "iso-10763": "tube, static",
        "asme-b31.3": "tube, static",
        "din-2413-pulsating": "tube, pulsating",
        "bore-yield": "tube, yield margin",
        "as stated": "/fitting/other_end_rating",
        "rated-pressure": "fitting at temperature",
    }
    origin = origins[lowest.method]
    if lowest.of == "seal" and ring is not None:
        origin = ring.ref
    limit = plain("p_limit", lowest.pressure.value, lowest.pressure.unit, "lowest limit", origin)
    sheet.step(MARGIN, "margin of the lowest limit", rating.margin, "1", "1", limit, counted)


def _counted(sheet: Sheet, setup: Setup) -> Given | None:
    """Pressure that counts as an input: the peak where it is the higher."""
    service = setup.service
    if service is None or service.counted_mpa is None:
        return None
    at = "/service/working_pressure"
    if service.counted_mpa != service.working_mpa:
        at = "/service/peak_pressure"
    return given("p", service.counted_mpa, "MPa", sheet.pressure, "pressure that counts", at)


def _add_loads(sheet: Sheet, setup: Setup) -> None:
    service, size, series = setup.service, setup.fitting.size, setup.fitting.series
    if service is None or service.counted_mpa is None or size is None or series is None:
        return
    counted = _counted(sheet, setup)
    if counted is None:
        return
    told, factor = sheet.pressure, series.design_factor
    _add_load(sheet, size, service.counted_mpa, counted, "")
    name = "pressure at the design factor"
    design_mpa = design_pressure_mpa(service.counted_mpa, factor)
    by = plain("factor", factor, "1", "design factor", series.ref)
    sheet.step(DESIGN_PRESSURE, name, design_mpa, "MPa", told, counted, by)
    _add_load(
        sheet,
        size,
        design_mpa,
        given("p", design_mpa, "MPa", told, name, name),
        ", at the design factor",
    )


def _add_load(sheet: Sheet, size: Size, mpa: float, pressure: Given, after: str) -> None:
    """Add what a pressure pulls at ring and nut of a size."""
    bore = given("D", size.od_mm, "mm", sheet.length, "od", size.ref)
    seal = given("D_seal", size.seal_diameter_mm, "mm", sheet.length, "seal diameter", size.ref)
    apart_kn, nut_kn = separation_force_kn(mpa, size.od_mm), nut_load_kn(mpa, size.seal_diameter_mm)
    told = sheet.force
    sheet.step(SEPARATION_FORCE, f"separation force{after}", apart_kn, "kN", told, pressure, bore)
    sheet.step(NUT_LOAD, f"nut load{after}", nut_kn, "kN", told, pressure, seal)
