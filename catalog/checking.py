"""What a revision must hold before it is compiled: keys, references, order; and the gaps it has."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from itertools import pairwise
from typing import Final

from msgspec import Struct, structs

from catalog.findings import CODES
from catalog.formulas import FORMULAS
from catalog.formulas.gauge import GRADUATIONS
from catalog.quantities import above, size_key
from catalog.revision import Revision, rows_of
from catalog.rows import (
    Case,
    Caution,
    Coating,
    Cone,
    Fluid,
    Gauge,
    Insert,
    Material,
    Plate,
    Preparation,
    Press,
    Ring,
    Row,
    Series,
    Size,
    Source,
    Strength,
    Target,
    Tube,
    key_of,
    number_text,
)

CODE_RULES: Final = frozenset({"text-missing", "reference-unknown"})
"""Rules by which a text lacks its code, or a code its text."""

Check = Callable[[Revision], Iterator["Fault"]]


class Fault(Struct, frozen=True, gc=False):
    """One thing that keeps a revision from being compiled: the row, the column, what to do."""

    row: str
    column: str
    message: str
    rule: str = ""
    remedy: str = ""


def faults_of(revision: Revision) -> list[Fault]:
    """Everything that is wrong with a revision, all at once."""
    return [
        structs.replace(fault, rule=fault.rule or rule, remedy=fault.remedy or remedy)
        for check, (rule, remedy) in _CHECKS.items()
        for fault in check(revision)
    ]


def gaps_of(revision: Revision) -> list[str]:
    """Where the targets have no row: legal, and worth knowing."""
    bands: dict[tuple[str, float, str, str, str], list[Target]] = defaultdict(list)
    for row in rows_of(revision, Target):
        what = row.ring or row.ring_style
        bands[row.series, row.od_mm, row.family, row.grade or row.family, what].append(row)
    told = []
    for (series, od_mm, _, family, style), rows in bands.items():
        ordered = sorted(rows, key=lambda r: r.wall_min_mm)
        for thin, thick in pairwise(ordered):
            if size_key(thin.wall_max_mm) < size_key(thick.wall_min_mm):
                told.append(
                    f"{series} {number_text(od_mm)} {family} {style}: no target between wall "
                    f"{number_text(thin.wall_max_mm)} and {number_text(thick.wall_min_mm)} mm"
                )
    covered = {(series, size_key(od_mm)) for series, od_mm, *_ in bands}
    told += [
        f"{size.series} {number_text(size.od_mm)}: no target at all"
        for size in rows_of(revision, Size)
        if (size.series, size_key(size.od_mm)) not in covered
    ]
    return told


def _keys_once(revision: Revision) -> Iterator[Fault]:
    for name, rows in revision.tables.items():
        keys = [key_of(row) for row in rows]
        if len(set(keys)) == len(keys):
            continue
        firsts = dict(zip(reversed(keys), reversed(rows), strict=True))
        for key, count in Counter(keys).items():
            if count > 1:
                row = firsts[key]
                column = ", ".join(row.key_columns)
                yield Fault(row.ref, column, f"stands {count} times in {name}: keep one")


def _sources_known(revision: Revision) -> Iterator[Fault]:
    known = {source.id for source in rows_of(revision, Source)}
    for rows in revision.tables.values():
        for row in rows:
            if isinstance(row, Row) and not known.issuperset(row.sources):
                for column in row.source_columns:
                    source = getattr(row, column)
                    if source is not None and source not in known:
                        yield Fault(row.ref, column, f"`{source}` is not in sources: add it there")
    for formula in FORMULAS:
        if formula.source not in known:
            message = f"the formula `{formula.text}` rests on it: add it to sources"
            yield Fault(f"sources/{formula.source}", "id", message)


def _texts_complete(revision: Revision) -> Iterator[Fault]:
    have = {row.code for row in rows_of(revision, Caution)}
    for code in CODES:
        if code not in have:
            yield Fault(f"cautions/{code}", "code", "has no text: add the row")
    for row in rows_of(revision, Caution):
        if row.code not in CODES:
            yield _no_code(row, "code", row.code, "take the row out")
    for case in rows_of(revision, Case):
        for code in case.codes:
            if code not in CODES:
                yield _no_code(case, "codes", code, "name a finding code that an answer can carry")


def _references_hold(revision: Revision) -> Iterator[Fault]:
    materials = {row.id for row in rows_of(revision, Material)}
    series = {row.id for row in rows_of(revision, Series)}
    gauges = {row.id for row in rows_of(revision, Gauge)}
    for strength in rows_of(revision, Strength):
        if strength.material not in materials:
            yield _unknown(strength, "material", strength.material, "materials")
    of_series: tuple[Size | Ring | Cone | Target, ...] = (
        *rows_of(revision, Size),
        *rows_of(revision, Ring),
        *rows_of(revision, Cone),
        *rows_of(revision, Target),
    )
    for row in of_series:
        if row.series not in series:
            yield _unknown(row, "series", row.series, "series")
    for press in rows_of(revision, Press):
        for gauge in press.gauges:
            if gauge not in gauges:
                yield _unknown(press, "gauges", gauge, "gauges")
        if len(set(press.gauges)) != len(press.gauges):
            message = "a gauge stands twice: keep one"
            yield Fault(press.ref, "gauges", message, "list-contradiction", "name each gauge once")


def _sizes_complete(revision: Revision) -> Iterator[Fault]:
    series = {row.id: row for row in rows_of(revision, Series)}
    sizes = {(row.series, size_key(row.od_mm)) for row in rows_of(revision, Size)}
    cones = {(row.series, size_key(row.od_mm)) for row in rows_of(revision, Cone)}
    plates = {(row.system, size_key(row.od_mm)) for row in rows_of(revision, Plate)}
    for size in rows_of(revision, Size):
        of = series.get(size.series)
        if of is None or not of.preset:
            continue
        at = size_key(size.od_mm)
        if (size.series, at) not in cones:
            yield Fault(size.ref, "od_mm", "no forming cone of this series and od: add one")
        if (of.system, at) not in plates:
            yield Fault(size.ref, "od_mm", f"no thrust plate of this od in {of.system}: add one")
    for cone in rows_of(revision, Cone):
        if (cone.series, size_key(cone.od_mm)) not in sizes:
            yield Fault(cone.ref, "od_mm", "no such size of this series: add it to sizes")


def _targets_stand(revision: Revision) -> Iterator[Fault]:
    sizes = {(row.series, size_key(row.od_mm)) for row in rows_of(revision, Size)}
    families = {row.id: row.family for row in rows_of(revision, Material)}
    rings: dict[tuple[object, ...], list[Ring]] = defaultdict(list)
    for ring in rows_of(revision, Ring):
        rings[ring.series, ring.ring_style, ring.material].append(ring)
    for row in rows_of(revision, Target):
        if (row.series, size_key(row.od_mm)) not in sizes:
            yield Fault(row.ref, "od_mm", "no such size of this series: add it to sizes")
        if row.grade is not None and families.get(row.grade) != row.family:
            message = f"`{row.grade}` is no grade of {row.family} in materials"
            yield Fault(row.ref, "grade", message)
        at, sets = size_key(row.od_mm), rings[row.series, row.ring_style, row.family]
        yield from _of_one_set(
            row, [ring for ring in sets if ring.od_mm is None or size_key(ring.od_mm) == at]
        )
        highest_kn = row.force_kn * (1 + row.tolerance_percent / 100)
        if above(highest_kn, row.ceiling_kn):
            message = f"{row.ceiling_kn:g} kN is below the band's top {highest_kn:.4g} kN"
            yield Fault(row.ref, "ceiling_kn", message)


def _of_one_set(row: Target, sets: list[Ring]) -> Iterator[Fault]:
    """A target is that of one ring set: of the one that it names, or the only one of the size."""
    named = [ring for ring in sets if row.ring in {None, ring.id}]
    if not sets:
        yield Fault(row.ref, "ring_style", "no ring set of this series, style and family")
    elif not named:
        message = f"`{row.ring}` is no ring set of this series, style, family and od"
        yield Fault(row.ref, "ring", message)
    elif len(named) > 1:
        ids = " and ".join(f"`{ring.id}`" for ring in named)
        yield Fault(row.ref, "ring", f"{ids} cover this od: name the one that it was found with")
    elif named[0].finish != row.finish:
        message = f"`{row.finish}`, but {named[0].ref} says `{named[0].finish}`"
        yield Fault(row.ref, "finish", message)


def _bands_apart(revision: Revision) -> Iterator[Fault]:
    bands: dict[tuple[object, ...], list[Target]] = defaultdict(list)
    for row in rows_of(revision, Target):
        what = (row.family, row.grade, row.ring_style, row.ring, row.insert)
        key = (row.series, size_key(row.od_mm), *what)
        bands[key].append(row)
        if size_key(row.wall_min_mm) > size_key(row.wall_max_mm):
            yield _reversed(row, "wall_min_mm")
    for rows in bands.values():
        ordered = sorted(rows, key=lambda r: (r.wall_min_mm, r.wall_max_mm))
        for thin, thick in pairwise(ordered):
            if size_key(thick.wall_min_mm) <= size_key(thin.wall_max_mm):
                yield Fault(thick.ref, "wall_min_mm", f"overlaps {thin.ref}: bands must be apart")


def _limits_apart(revision: Revision) -> Iterator[Fault]:
    limits: dict[str, list[Preparation]] = defaultdict(list)
    for limit in rows_of(revision, Preparation):
        limits[limit.system].append(limit)
        if size_key(limit.od_min_mm) > size_key(limit.od_max_mm):
            yield _reversed(limit, "od_min_mm")
    for ordered_limits in limits.values():
        for small, large in pairwise(sorted(ordered_limits, key=lambda r: r.od_min_mm)):
            if size_key(large.od_min_mm) <= size_key(small.od_max_mm):
                yield Fault(large.ref, "od_min_mm", f"overlaps {small.ref}: bands must be apart")


def _rows_sound(revision: Revision) -> Iterator[Fault]:
    for tube in rows_of(revision, Tube):
        if tube.wall_mm >= tube.od_mm / 2:
            yield Fault(tube.ref, "wall_mm", "leaves no bore: must be below half the od")
    for insert in rows_of(revision, Insert):
        if insert.useless_below_mm > insert.needed_below_mm:
            yield Fault(insert.ref, "useless_below_mm", "must not be above needed_below_mm")


def _lists_sound(revision: Revision) -> Iterator[Fault]:
    lists: list[tuple[Row, str, Iterable[str], Iterable[str]]] = [
        (row, "families_refused", row.families_accepted, row.families_refused)
        for row in rows_of(revision, Coating)
    ]
    lists += [
        (row, "seals_refused", row.seals_accepted, row.seals_refused)
        for row in rows_of(revision, Fluid)
    ]
    for row, what, accepted, refused in lists:
        for both in (each for each in refused if each in accepted):
            yield Fault(row.ref, what, f"`{both}` is accepted too: it can be one of the two")
    for ring in rows_of(revision, Ring):
        if (ring.lubrication == "required") != bool(ring.lubricate):
            message = "says where, so lubrication must be `required`, and the other way round"
            remedy = "write where it is lubricated, or leave the place blank"
            yield Fault(ring.ref, "lubricate", message, remedy=remedy)


def _ranges_sound(revision: Revision) -> Iterator[Fault]:
    ranges: tuple[Material | Series | Fluid, ...] = (
        *rows_of(revision, Material),
        *rows_of(revision, Series),
        *rows_of(revision, Fluid),
    )
    for row in ranges:
        if row.temp_min_c >= row.temp_max_c:
            yield Fault(row.ref, "temp_min_c", "must be below temp_max_c")
    for material in rows_of(revision, Material):
        if (material.hardness_max is None) != (material.hardness_scale is None):
            message = "a limit needs its scale, and a scale its limit"
            yield Fault(material.ref, "hardness_scale", message)


def _gauges_sound(revision: Revision) -> Iterator[Fault]:
    for gauge in rows_of(revision, Gauge):
        if (gauge.protected_to is None) != (gauge.protected_tolerance is None):
            message = "a protector needs its tolerance, and a tolerance its protector"
            yield Fault(gauge.ref, "protected_tolerance", message)
        elif gauge.protected_to is not None and gauge.protected_to <= (
            gauge.protected_tolerance or 0.0
        ):
            message = "the tolerance leaves nothing of the reading at which the protector closes"
            yield Fault(gauge.ref, "protected_tolerance", message)
        if gauge.overload is not None and gauge.overload < gauge.span:
            yield Fault(gauge.ref, "overload", "must not be below the span")
        if gauge.overload is not None and gauge.protected_to is not None:
            closes_by = gauge.protected_to + (gauge.protected_tolerance or 0.0)
            if above(closes_by, gauge.overload):
                message = "closes, by its tolerance, only above what the gauge survives"
                yield Fault(gauge.ref, "protected_to", message)


def _dials_made(revision: Revision) -> Iterator[Fault]:
    for gauge in rows_of(revision, Gauge):
        if gauge.graduation not in GRADUATIONS:
            message = (
                f"no dial is graduated in {number_text(gauge.graduation)} {gauge.unit}: it must be "
                "1, 2 or 5 times a power of ten"
            )
            yield Fault(gauge.ref, "graduation", message)


def _names_once(revision: Revision) -> Iterator[Fault]:
    """A name of a grade is that of one grade, in small or large letters."""
    materials = rows_of(revision, Material)
    owners: dict[str, set[str]] = defaultdict(set)
    for row in materials:
        for name in (row.id, *row.names):
            owners[name.casefold()].add(row.id)
    for row in materials:
        for name in row.names:
            if others := owners[name.casefold()] - {row.id}:
                message = f"`{name}` is `{min(others)}` too: a name is that of one grade"
                yield Fault(row.ref, "names", message)


def _rings_sized(revision: Revision) -> Iterator[Fault]:
    """A ring set of one od is that of a size of its series."""
    sizes = {(row.series, size_key(row.od_mm)) for row in rows_of(revision, Size)}
    for ring in rows_of(revision, Ring):
        if ring.od_mm is not None and (ring.series, size_key(ring.od_mm)) not in sizes:
            yield Fault(ring.ref, "od_mm", "no such size of this series: add it to sizes")


# The rule of every check, by which a report names it, and what mends it where a fault says nothing.
_CHECKS: Final[dict[Check, tuple[str, str]]] = {
    _keys_once: ("key-doubled", "keep the row that is right and take the other out"),
    _sources_known: ("source-unknown", "add the document to `sources`, or name one that is there"),
    _texts_complete: ("text-missing", "keep one row in `cautions` for every finding code"),
    _references_hold: ("reference-unknown", "add the row that is named, or name one that is there"),
    _sizes_complete: ("tooling-missing", "add the missing row, or take the size out"),
    _targets_stand: ("target-without-ground", "add the row it stands on, or mend the target"),
    _bands_apart: ("bands-overlap", "set the wall bands apart, so that a wall is in one of them"),
    _limits_apart: ("bands-overlap", "set the od bands apart, so that an od is in one of them"),
    _rows_sound: ("wall-impossible", "mend the wall in this row"),
    _lists_sound: ("list-contradiction", "take it out of one of the two"),
    _ranges_sound: ("range-reversed", "mend the range, or the limit and its scale"),
    _gauges_sound: ("range-reversed", "mend what the gauge survives, or what protects it"),
    _dials_made: ("no-such-dial", "read off the dial what is between two of its marks"),
    _names_once: ("name-doubled", "keep the name with the grade that it means"),
    _rings_sized: ("reference-unknown", "add the size, or leave the od of the ring set blank"),
}


def _reversed(row: Row, column: str) -> Fault:
    message = "the band ends before it begins"
    return Fault(row.ref, column, message, "range-reversed", "exchange the two ends of the band")


def _no_code(row: Row, column: str, code: str, remedy: str) -> Fault:
    message = f"`{code}` is no finding code"
    return Fault(row.ref, column, message, "reference-unknown", remedy)


def _unknown(row: Row, column: str, value: str, table: str) -> Fault:
    return Fault(row.ref, column, f"`{value}` is not in {table}: add it there")
