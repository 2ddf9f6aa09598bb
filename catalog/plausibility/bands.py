"""Bands that every number of the other tables is expected in, whatever the rows beside it say.

The bands are common practice of hydraulic tube work and own judgement, entered from memory and far
wider than any table needs: a number outside is no rare size, it is another unit or a slipped
decimal. The highest and lowest known to the author stand behind each.
"""

from collections import defaultdict
from collections.abc import Callable
from typing import Final

from msgspec import Struct

from catalog.plausibility.doubt import Doubt, DoubtKind, doubt
from catalog.plausibility.forces import number
from catalog.plausibility.naming import Dimension, unit_of_band
from catalog.quantities import FACTOR
from catalog.revision import Revision, rows_of
from catalog.rows import AnyRow, Gauge, number_text


class Band(Struct, frozen=True, kw_only=True):
    """Lowest and highest of a column, in the unit of the column or as a share of another one."""

    table: str
    column: str
    low: float
    high: float
    dimension: Dimension = "plain"
    of: str = ""
    only: tuple[str, str] | None = None


def _od(table: str, high: float) -> Band:
    # Smallest fitting 4 mm, tube 1/8 in; largest fitting 50.8 mm, pipes 60 mm.
    return Band(table=table, column="od_mm", low=2.5, high=high, dimension="length")


def _strength(column: str, family: str, low: float, high: float) -> Band:
    return Band(
        table="materials",
        column=column,
        low=low,
        high=high,
        dimension="stress",
        only=("family", family),
    )


BANDS: Final[tuple[Band, ...]] = (
    _od("sizes", 80),
    _od("targets", 80),
    _od("cones", 80),
    _od("plates", 80),
    _od("inserts", 80),
    _od("tubes", 120),
    _od("neighbours", 120),
    # Carbon steel tube: annealed 150 to 170, quenched and drawn 650 MPa.
    _strength("yield_mpa", "carbon-steel", 120, 800),
    _strength("tensile_mpa", "carbon-steel", 220, 1000),
    # Stainless: solution annealed 170, duplex 450 to 550, cold worked 800 MPa.
    _strength("yield_mpa", "stainless-steel", 130, 1000),
    _strength("tensile_mpa", "stainless-steel", 350, 1200),
    _strength("yield_mpa", "nickel-copper", 120, 800),
    _strength("tensile_mpa", "nickel-copper", 350, 1000),
    _strength("yield_mpa", "copper", 30, 400),
    _strength("tensile_mpa", "copper", 150, 500),
    Band(table="materials", column="yield_mpa", low=0.15, high=1.0, of="tensile_mpa"),
    # Hot strengths fall to less than half of the cold ones at 400 degC and above.
    Band(table="strengths", column="yield_mpa", low=20, high=1000, dimension="stress"),
    Band(table="strengths", column="tensile_mpa", low=100, high=1200, dimension="stress"),
    Band(table="strengths", column="yield_mpa", low=0.1, high=1.0, of="tensile_mpa"),
    Band(table="strengths", column="allowable_mpa", low=20, high=400, dimension="stress"),
    Band(table="strengths", column="allowable_mpa", low=0.05, high=0.5, of="tensile_mpa"),
    Band(table="strengths", column="endurance_mpa", low=50, high=600, dimension="stress"),
    Band(table="strengths", column="endurance_mpa", low=0.2, high=1.0, of="tensile_mpa"),
    # Thinnest tube wall 0.5 mm; no tube that is pressed is a bar or a foil.
    Band(table="tubes", column="wall_mm", low=0.3, high=20, dimension="length"),
    Band(table="tubes", column="wall_mm", low=0.008, high=0.45, dimension="length", of="od_mm"),
    Band(
        table="tubes",
        column="od_tolerance_mm",
        low=0.001,
        high=0.04,
        dimension="length",
        of="od_mm",
    ),
    Band(table="tubes", column="wall_under_percent", low=1, high=30),
    Band(
        table="neighbours",
        column="od_tolerance_mm",
        low=0.001,
        high=0.05,
        dimension="length",
        of="od_mm",
    ),
    Band(table="targets", column="wall_min_mm", low=0.3, high=20, dimension="length"),
    Band(
        table="targets", column="wall_min_mm", low=0.008, high=0.45, dimension="length", of="od_mm"
    ),
    Band(
        table="targets", column="wall_max_mm", low=0.008, high=0.45, dimension="length", of="od_mm"
    ),
    Band(table="targets", column="wall_max_mm", low=1, high=2, of="wall_min_mm"),
    # Fittings: 100 bar in the lightest series, 800 in later editions of the heaviest.
    Band(table="sizes", column="rated_pressure_bar", low=25, high=1000, dimension="pressure"),
    Band(table="sizes", column="nut_hex_mm", low=1.1, high=3.5, dimension="length", of="od_mm"),
    Band(table="sizes", column="insertion_depth_mm", low=2, high=60, dimension="length"),
    Band(
        table="sizes", column="seal_diameter_mm", low=1.0, high=1.7, dimension="length", of="od_mm"
    ),
    Band(table="sizes", column="min_straight_mm", low=8, high=250, dimension="length"),
    Band(table="series", column="design_factor", low=2, high=8),
    Band(table="rings", column="seal_rated_pressure_bar", low=25, high=1000, dimension="pressure"),
    # Elastomers end near 200 degC: 100 degC in degF is 212.
    Band(table="rings", column="seal_temp_max_c", low=20, high=205),
    Band(table="derating", column="factor", low=0.3, high=1),
    Band(
        table="inserts",
        column="needed_below_mm",
        low=0.02,
        high=0.25,
        dimension="length",
        of="od_mm",
    ),
    Band(
        table="inserts",
        column="useless_below_mm",
        low=0.008,
        high=0.15,
        dimension="length",
        of="od_mm",
    ),
    # Workshop presses: hand pumps to 700 bar, a few to 1,000; a gauge below its press's pressure.
    Band(table="presses", column="rated_pressure_bar", low=50, high=1100, dimension="pressure"),
    Band(table="presses", column="relief_setting_bar", low=50, high=1200, dimension="pressure"),
    Band(table="presses", column="ram_area_cm2", low=1, high=1000),
    Band(table="presses", column="stroke_mm", low=5, high=500, dimension="length"),
    Band(table="presses", column="pump_full_stroke_cm3", low=0.05, high=200),
    Band(table="presses", column="pump_fine_stroke_cm3", low=0.02, high=50),
    Band(table="gauges", column="class_percent", low=0.1, high=4),
    Band(table="gauges", column="working_range_percent", low=40, high=100),
    Band(table="preparation", column="out_of_square_max_deg", low=0.1, high=5),
    Band(
        table="preparation",
        column="caliper_uncertainty_mm",
        low=0.002,
        high=0.2,
        dimension="length",
    ),
)


def band_doubts(revision: Revision) -> list[Doubt]:
    """Doubts about numbers outside their bands, what rows of a column share told once."""
    told: list[Doubt] = []
    for band in BANDS:
        found: dict[tuple[DoubtKind, str, bool], list[tuple[AnyRow, float]]] = defaultdict(list)
        for row in revision.tables.get(band.table, ()):
            share = _share(row, band)
            if share is None or band.low <= share <= band.high:
                continue
            kind, looks, _ = unit_of_band(share, band.low, band.high, band.dimension)
            found[kind, looks, share > band.high].append((row, share))
        for rows in found.values():
            told += _told(band, rows)
    return told + _dials(revision)


def _share(row: AnyRow, band: Band) -> float | None:
    if band.only is not None and getattr(row, band.only[0]) != band.only[1]:
        return None
    value = getattr(row, band.column)
    if band.of:
        whole = getattr(row, band.of)
        if value is None or whole is None:
            return None
        return float(value) / max(float(whole), 1e-9)
    return None if value is None else float(value)


def _told(band: Band, rows: list[tuple[AnyRow, float]]) -> list[Doubt]:
    parts = [rows] if len(rows) >= 3 else [[each] for each in rows]
    told = []
    for part in parts:
        row, share = part[0]
        kind, looks, factor = unit_of_band(share, band.low, band.high, band.dimension)
        value = getattr(row, band.column)
        many = f"{len(part)} rows, the first `{row.ref}`: " if len(part) > 1 else ""
        is_of = f", {share:.3g} times {band.of}," if band.of else ""
        inside = f": {value / factor:.4g} would be inside" if kind != "out-of-band" else ""
        side = "above" if share > band.high else "below"
        told.append(
            doubt(
                kind,
                "strong",
                (each.ref for each, _ in part),
                band.column,
                f"{many}{band.column} {number_text(value)}{is_of} is outside {band.low:g} to "
                f"{band.high:g} (common practice): {looks}{inside}",
                "compare with the source, unit first, and correct it, or give the reason",
                about=f"{band.table}/{side}{_of(band)}"
                if len(part) > 1
                else f"{row.ref}{_of(band)}",
            )
        )
    return told


def _of(band: Band) -> str:
    return f"-of-{band.of}" if band.of else ""


def _dials(revision: Revision) -> list[Doubt]:
    """Spans in bar whatever the dial's own unit, and marks that an eye can part."""
    checks: tuple[tuple[str, Callable[[Gauge], float], float, float, str], ...] = (
        ("span", lambda g: g.span * FACTOR[g.unit] / FACTOR["bar"], 10, 1600, "span in bar"),
        # 10 to 200 marks on a dial: common practice.
        ("graduation", lambda g: g.span / number(g.graduation), 10, 200, "marks on the dial"),
    )
    told = []
    for gauge in rows_of(revision, Gauge):
        for column, number_of, low, high, what in checks:
            value = number_of(gauge)
            if low <= value <= high:
                continue
            dimension: Dimension = "pressure" if column == "span" else "plain"
            kind, looks, _ = unit_of_band(value, low, high, dimension)
            if column == "graduation":
                kind, looks = _marks(value, low, high)
            told.append(
                doubt(
                    kind,
                    "strong",
                    [gauge.ref],
                    column,
                    f"{what} {value:.4g} is outside {low:g} to {high:g} (common practice): {looks}",
                    "read span, graduation and unit from the dial and correct them",
                )
            )
        marks = gauge.span / number(gauge.graduation)
        if abs(marks - round(marks)) > 0.1 and 10 <= marks <= 200:
            told.append(
                doubt(
                    "relation",
                    "strong",
                    [gauge.ref],
                    "graduation",
                    f"a span of {number_text(gauge.span)} {gauge.unit} is {marks:.4g} graduations "
                    f"of {number_text(gauge.graduation)}, and no whole number of them",
                    "read span and graduation from the dial and correct them",
                )
            )
    return told


def _marks(value: float, low: float, high: float) -> tuple[DoubtKind, str]:
    psi = FACTOR["bar"] / FACTOR["psi"]
    for factor in (psi, 1 / psi):
        if low <= value * factor <= high and not low <= value * 10 <= high:
            return "unit-slip", "span and graduation look like bar beside psi"
    if low <= value * psi <= high or low <= value / psi <= high:
        return "unit-slip", "looks like bar beside psi, or a slipped decimal"
    return "out-of-band", "no common slip explains it"
