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


class Band(Struct, frozen=True):
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
    return Band(table, "od_mm", 2.5, high, "length")


def _strength(column: str, family: str, low: float, high: float) -> Band:
    return Band("materials", column, low, high, "stress", only=("family", family))


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
    Band("materials", "yield_mpa", 0.15, 1.0, of="tensile_mpa"),
    # Hot strengths fall to less than half of the cold ones at 400 degC and above.
    Band("strengths", "yield_mpa", 20, 1000, "stress"),
    Band("strengths", "tensile_mpa", 100, 1200, "stress"),
    Band("strengths", "yield_mpa", 0.1, 1.0, of="tensile_mpa"),
    Band("strengths", "allowable_mpa", 20, 400, "stress"),
    Band("strengths", "allowable_mpa", 0.05, 0.5, of="tensile_mpa"),
    Band("strengths", "endurance_mpa", 50, 600, "stress"),
    Band("strengths", "endurance_mpa", 0.2, 1.0, of="tensile_mpa"),
    # Thinnest tube wall 0.5 mm; no tube that is pressed is a bar or a foil.
    Band("tubes", "wall_mm", 0.3, 20, "length"),
    Band("tubes", "wall_mm", 0.008, 0.45, "length", "od_mm"),
    Band("tubes", "od_tolerance_mm", 0.001, 0.04, "length", "od_mm"),
    Band("tubes", "wall_under_percent", 1, 30),
    Band("neighbours", "od_tolerance_mm", 0.001, 0.05, "length", "od_mm"),
    Band("targets", "wall_min_mm", 0.3, 20, "length"),
    Band("targets", "wall_min_mm", 0.008, 0.45, "length", "od_mm"),
    Band("targets", "wall_max_mm", 0.008, 0.45, "length", "od_mm"),
    Band("targets", "wall_max_mm", 1, 2, of="wall_min_mm"),
    # Fittings: 100 bar in the lightest series, 800 in later editions of the heaviest.
    Band("sizes", "rated_pressure_bar", 25, 1000, "pressure"),
    Band("sizes", "nut_hex_mm", 1.1, 3.5, "length", "od_mm"),
    Band("sizes", "insertion_depth_mm", 2, 60, "length"),
    Band("sizes", "seal_diameter_mm", 1.0, 1.7, "length", "od_mm"),
    Band("sizes", "min_straight_mm", 8, 250, "length"),
    Band("series", "design_factor", 2, 8),
    Band("rings", "seal_rated_pressure_bar", 25, 1000, "pressure"),
    # Elastomers end near 200 degC: 100 degC in degF is 212.
    Band("rings", "seal_temp_max_c", 20, 205),
    Band("derating", "factor", 0.3, 1),
    Band("inserts", "needed_below_mm", 0.02, 0.25, "length", "od_mm"),
    Band("inserts", "useless_below_mm", 0.008, 0.15, "length", "od_mm"),
    # Workshop presses: hand pumps to 700 bar, a few to 1,000; a gauge below its press's pressure.
    Band("presses", "rated_pressure_bar", 50, 1100, "pressure"),
    Band("presses", "relief_setting_bar", 50, 1200, "pressure"),
    Band("presses", "ram_area_cm2", 1, 1000),
    Band("presses", "stroke_mm", 5, 500, "length"),
    Band("presses", "pump_full_stroke_cm3", 0.05, 200),
    Band("presses", "pump_fine_stroke_cm3", 0.02, 50),
    Band("gauges", "class_percent", 0.1, 4),
    Band("gauges", "working_range_percent", 40, 100),
    Band("preparation", "out_of_square_max_deg", 0.1, 5),
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
