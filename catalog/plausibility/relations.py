"""Numbers of one table against those of another: tools against ceilings, press against gauge."""

from collections import Counter, defaultdict
from typing import Final

from catalog.plausibility.doubt import Doubt, Weight, doubt
from catalog.plausibility.forces import number
from catalog.quantities import FACTOR, above, size_key
from catalog.revision import Revision, rows_of
from catalog.rows import (
    Cone,
    Gauge,
    Insert,
    Material,
    Plate,
    Press,
    Row,
    Series,
    Strength,
    Target,
    number_text,
)

# All of these are own judgement after common practice.
_TOOL_MOST: Final = 4.0  # times the highest ceiling that a tool is rated for
_RETURN_BAR: Final = (0.3, 30.0)  # pressure that lifts the ram against its spring
_SPAN: Final = (0.15, 3.5)  # of the press's rated pressure
_RELIEF: Final = (0.5, 1.1)  # of the press's rated pressure
_OIL: Final = (1.0, 30.0)  # strokes of the ram that the oil is enough for
_TOGETHER: Final = 3  # tools of one table that are told once
_TOLD: Final = 8
_CHECKS: Final = 5.0  # times the interval of the other cones
_ROUNDED: Final = 0.02  # share of a strength that rounding may change

_COMPARE: Final = "compare both with their source or plate and correct the wrong one"


def relation_doubts(revision: Revision) -> list[Doubt]:
    """Doubts about numbers of two tables that cannot both be right."""
    return [
        *_tools(revision),
        *_presses(revision),
        *_spans(revision),
        *_strengths(revision),
        *_intervals(revision),
        *_inserts(revision),
    ]


def _tools(revision: Revision) -> list[Doubt]:
    system = {s.id: s.system for s in rows_of(revision, Series)}
    by_cone: dict[tuple[str, int], Target] = {}
    by_plate: dict[tuple[str, int], Target] = {}
    for row in rows_of(revision, Target):
        for found, of in ((by_cone, row.series), (by_plate, system.get(row.series, ""))):
            key = (of, size_key(row.od_mm))
            if key not in found or row.ceiling_kn > found[key].ceiling_kn:
                found[key] = row
    tools: list[tuple[Cone | Plate, Target | None]] = [
        (cone, by_cone.get((cone.series, size_key(cone.od_mm)))) for cone in rows_of(revision, Cone)
    ]
    tools += [
        (plate, by_plate.get((plate.system, size_key(plate.od_mm))))
        for plate in rows_of(revision, Plate)
    ]
    told = []
    for tool, target in tools:
        if target is None:
            continue
        rated, ceiling = number(tool.rated_force_kn), number(target.ceiling_kn)
        if above(ceiling, rated):
            message = f"rated for {number_text(rated)} kN, below the ceiling of"
        elif rated > _TOOL_MOST * ceiling:
            message = (
                f"rated for {number_text(rated)} kN, more than {_TOOL_MOST:g} times the highest "
                "ceiling of"
            )
        else:
            continue
        told.append(
            _told(
                [tool, target],
                "rated_force_kn",
                f"{message} {number_text(ceiling)} kN in `{target.ref}`",
            )
        )
    return _once(told, "rated_force_kn")


def _once(told: list[Doubt], column: str) -> list[Doubt]:
    """The doubts, those of one table told once where a common slip makes many."""
    by_table: dict[str, list[Doubt]] = defaultdict(list)
    for each in told:
        by_table[each.rows[0].partition("/")[0]].append(each)
    once = []
    for table, doubts in by_table.items():
        if len(doubts) < _TOGETHER:
            once += doubts
            continue
        first = doubts[0]
        once.append(
            doubt(
                "relation",
                "strong",
                (ref for each in doubts for ref in each.rows),
                column,
                f"{len(doubts)} rows: "
                + "; ".join(f"`{each.rows[0]}` {each.message}" for each in doubts[:_TOLD])
                + (f"; and {len(doubts) - _TOLD} more" if len(doubts) > _TOLD else ""),
                first.remedy,
                about=table,
            )
        )
    return once


def _presses(revision: Revision) -> list[Doubt]:
    targets = rows_of(revision, Target)
    least = min(targets, key=lambda t: t.force_kn) if targets else None
    told = []
    for press in rows_of(revision, Press):
        area_mm2 = max(press.ram_area_cm2 * FACTOR["cm2"], 1e-9)
        rated = number(press.rated_pressure_bar)
        back = press.return_force_kn * 1000 / area_mm2 / FACTOR["bar"]
        if press.return_force_kn and not _RETURN_BAR[0] <= back <= _RETURN_BAR[1]:
            message = (
                f"a return force of {number_text(press.return_force_kn)} kN on "
                f"{number_text(press.ram_area_cm2)} cm2 is {back:.3g} bar, outside "
                f"{_RETURN_BAR[0]:g} to {_RETURN_BAR[1]:g} bar: kN, or lbf?"
            )
            told.append(_told([press], "return_force_kn", message))
        relief = press.relief_setting_bar / rated
        if not _RELIEF[0] <= relief <= _RELIEF[1]:
            message = (
                f"relief setting {number_text(press.relief_setting_bar)} bar is {relief:.3g} times "
                f"the rated pressure of {number_text(press.rated_pressure_bar)} bar, outside "
                f"{_RELIEF[0]:g} to {_RELIEF[1]:g}: both in bar?"
            )
            told.append(_told([press], "relief_setting_bar", message))
        strokes = press.usable_oil_cm3 * 1000 / max(area_mm2 * press.stroke_mm, 1e-9)
        if not _OIL[0] <= strokes <= _OIL[1]:
            message = (
                f"usable oil of {number_text(press.usable_oil_cm3)} cm3 is enough for "
                f"{strokes:.3g} strokes of the ram, outside {_OIL[0]:g} to {_OIL[1]:g}"
            )
            told.append(_told([press], "usable_oil_cm3", message))
        if press.pump_fine_stroke_cm3 > press.pump_full_stroke_cm3:
            message = "the fine pump stroke moves more oil than the full one"
            told.append(_told([press], "pump_fine_stroke_cm3", message))
        most_kn = rated * FACTOR["bar"] * area_mm2 / 1000 - press.return_force_kn
        if least is not None and most_kn < least.force_kn:
            message = (
                f"presses {most_kn:.3g} kN at {number_text(press.rated_pressure_bar)} bar, less "
                f"than the least target of {number_text(least.force_kn)} kN in `{least.ref}`"
            )
            told.append(_told([press], "rated_pressure_bar", message))
    return told


def _spans(revision: Revision) -> list[Doubt]:
    """Dials that do not suit their press, told of the press or the gauge that has most of them."""
    gauges = {g.id: g for g in rows_of(revision, Gauge)}
    unlike: list[tuple[Press, Gauge, float]] = []
    for press in rows_of(revision, Press):
        rated = number(press.rated_pressure_bar)
        for gauge in (gauges[g] for g in dict.fromkeys(press.gauges) if g in gauges):
            share = gauge.span_mpa / FACTOR["bar"] / rated
            if not _SPAN[0] <= share <= _SPAN[1]:
                unlike.append((press, gauge, share))
    told = []
    while unlike:
        count = Counter(row.ref for press, gauge, _ in unlike for row in (press, gauge))
        blamed = max(count, key=lambda ref: (count[ref], ref))
        of = [each for each in unlike if blamed in (each[0].ref, each[1].ref)]
        press, gauge, share = of[0]
        is_gauge = blamed == gauge.ref
        others = [(p if is_gauge else g).ref for p, g, _ in of]
        many = f" (and {len(of) - 1} more pairs)" if len(of) > 1 else ""
        told.append(
            doubt(
                "relation",
                "strong",
                [blamed, *others],
                "span" if is_gauge else "rated_pressure_bar",
                f"a span of {number_text(gauge.span)} {gauge.unit} on `{gauge.ref}` is "
                f"{share:.3g} times the {number_text(press.rated_pressure_bar)} bar of "
                f"`{press.ref}`, outside {_SPAN[0]:g} to {_SPAN[1]:g}{many}: is the unit of both "
                "right?",
                _COMPARE,
            )
        )
        unlike = [each for each in unlike if each not in of]
    return told


def _strengths(revision: Revision) -> list[Doubt]:
    materials = {m.id: m for m in rows_of(revision, Material)}
    coldest: dict[str, Strength] = {}
    told = []
    for row in rows_of(revision, Strength):
        material = materials.get(row.material)
        if material is None:
            continue
        if row.material not in coldest or row.temp_c < coldest[row.material].temp_c:
            coldest[row.material] = row
    for row in coldest.values():
        material = materials[row.material]
        for column in ("yield_mpa", "tensile_mpa"):
            cold, stated = getattr(row, column), getattr(material, column)
            if cold is None or stated is None:
                continue
            off = abs(cold / max(stated, 1e-9) - 1)
            if off > _ROUNDED:
                message = (
                    f"{column} {number_text(cold)} MPa in the coldest row, but "
                    f"{number_text(stated)} MPa in `{material.ref}` (limit "
                    f"{_ROUNDED * 100:g} % apart)"
                )
                weight: Weight = "strong" if off > 0.1 else "weak"
                told.append(_told([row, material], column, message, weight))
    return told


def _intervals(revision: Revision) -> list[Doubt]:
    columns = [c for c in Cone.__struct_fields__ if c.startswith("presses_between_checks")]
    told = []
    for column in columns:
        known = sorted(
            (getattr(c, column), c.ref, c)
            for c in rows_of(revision, Cone)
            if getattr(c, column) is not None
        )
        if len(known) < 5:
            continue
        middle = known[len(known) // 2][0]
        for value, _, cone in known:
            if not middle / _CHECKS <= value <= middle * _CHECKS:
                message = (
                    f"{value} presses between checks, most cones have {middle} (limit "
                    f"{_CHECKS:g} times)"
                )
                told.append(_told([cone], column, message))
    return told


def _inserts(revision: Revision) -> list[Doubt]:
    return [
        _told(
            [row],
            "useless_below_mm",
            f"an insert helps from {number_text(row.useless_below_mm)} mm and is needed below "
            f"{number_text(row.needed_below_mm)} mm: so near that no wall is left for it",
        )
        for row in rows_of(revision, Insert)
        if row.useless_below_mm > 0.9 * row.needed_below_mm
    ]


def _told(rows: list[Row], column: str, message: str, weight: Weight = "strong") -> Doubt:
    refs = [row.ref for row in rows]
    about = "+".join(refs) if len(refs) > 1 else ""
    return doubt("relation", weight, refs, column, message, _COMPARE, about=about)
