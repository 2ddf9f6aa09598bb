"""What a revision changes against the one before: numbers, common factors, rows that are gone."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from statistics import median
from typing import Final

import numpy as np
from msgspec import Struct

from catalog.plausibility.doubt import Doubt, Weight, doubt
from catalog.plausibility.forces import number
from catalog.plausibility.naming import Dimension, listed, slip_of
from catalog.revision import Revision
from catalog.rows import TABLES, AnyRow, Target, key_of, number_text

# Limits of a change, own judgement: an edition of a standard or a new press changes a number by
# less than half, a unit or a decimal by more. A strength and a factor of safety move far less.
STRONG: Final = float(np.log(1.5))
WEAK: Final = float(np.log(1.1))
_CLOSE: Final[dict[str, float]] = {
    column: float(np.log(times))
    for times, columns in (
        (1.15, "yield_mpa tensile_mpa allowable_mpa endurance_mpa"),
        (1.15, "design_factor factor ram_area_cm2"),
        (1.3, "rated_force_kn rated_pressure_bar"),
        (1.1, "ceiling_kn"),
    )
    for column in columns.split()
}
_DEGREES: Final = (10.0, 40.0)  # degC; a scale of temperature has no factor
_SHARED: Final = 4  # rows from which a common factor is told once
_SAME: Final = 0.012  # log; forces of three digits by one factor stay within it
_RISKY: Final = ("neighbours", "cases")
"""Tables whose rows warn or check; a row gone from another one only leaves a question open."""


class Change(Struct, frozen=True, kw_only=True):
    """A number of a row that is not what it was."""

    row: AnyRow
    column: str
    was: float
    now: float
    by: float
    weight: Weight


def change_doubts(revision: Revision, before: Revision) -> list[Doubt]:
    """Doubts about numbers that changed too much, factors that many share, and rows gone."""
    told: list[Doubt] = []
    for table in TABLES:
        old = {key_of(row): row for row in before.tables.get(table, ())}
        new = {key_of(row): row for row in revision.tables.get(table, ())}
        pairs = [(old[key], row) for key, row in new.items() if key in old]
        moved: dict[str, float] = {}
        for column in _number_columns(table):
            told += _column(table, column, pairs, moved)
        if table == "gauges":
            told += _units(pairs)
        told += _gone(table, [row for key, row in old.items() if key not in new], len(old))
    return told


def _number_columns(table: str) -> list[str]:
    kind = TABLES[table]
    return [
        field
        for field in kind.__struct_fields__
        if field not in kind.key_columns
        and any(word in str(kind.__annotations__.get(field, "")) for word in _NUMBERS)
    ]


_NUMBERS: Final = ("float", "int")
_GROUPS: Final[tuple[tuple[str, ...], ...]] = (
    ("series",),
    ("family",),
    ("ring_style",),
    ("series", "family"),
    ("series", "ring_style", "family"),
    ("series", "od_mm"),
    ("od_mm",),
)


def _column(
    table: str, column: str, pairs: list[tuple[AnyRow, AnyRow]], moved: dict[str, float]
) -> Iterable[Doubt]:
    """Doubts about one column; `moved` are forces that changed, and a ceiling may move along."""
    found = []
    for old, new in pairs:
        was, now = getattr(old, column), getattr(new, column)
        if was == now or not _is_number(was) or not _is_number(now):
            continue
        change = _change(new, column, float(was), float(now))
        if column == "force_kn" and table == "targets":
            moved[new.ref] = change.by
        if column == "ceiling_kn" and abs(moved.get(new.ref, 9.0) - change.by) < 2 * _SAME:
            continue
        found.append(change)
    slid = _slid(column, pairs) if len(found) >= 3 else None
    if slid is not None:
        yield slid
        gone = set(slid.rows)
        found = [c for c in found if c.row.ref not in gone]
    taken: set[int] = set()
    for about, changes in _common(table, found):
        taken |= {id(c) for c in changes}
        yield _together(about, changes)
    for change in found:
        if id(change) not in taken and abs(change.by) > WEAK / 2:
            yield _single(change)


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _change(row: AnyRow, column: str, was: float, now: float) -> Change:
    if column.endswith("_c"):
        far = abs(now - was)
        weight: Weight = "strong" if far > _DEGREES[1] else "weak"
        return Change(row=row, column=column, was=was, now=now, by=far / 100, weight=weight)
    if was <= 0 or now <= 0:
        # What was nothing has no factor: it is told, and is no slip of a unit.
        return Change(row=row, column=column, was=was, now=now, by=1.0, weight="weak")
    by = float(np.log(now / was))
    how: Weight = "strong" if abs(by) > _limit(row, column) + 1e-9 else "weak"
    return Change(row=row, column=column, was=was, now=now, by=by, weight=how)


def _limit(row: AnyRow, column: str) -> float:
    """Log of the change from which a doubt is strong."""
    if isinstance(row, Target) and column == "force_kn":
        return float(np.log1p(number(row.tolerance_percent) / 100))
    return _CLOSE.get(column, STRONG)


def _common(table: str, found: list[Change]) -> Iterable[tuple[str, list[Change]]]:
    """Factors that most rows of a table, or of one group of the targets, share."""
    left = [c for c in found if c.was > 0 and c.now > 0 and not c.column.endswith("_c")]
    keys: list[Callable[[AnyRow], Hashable]] = [lambda _: table]
    if table == "targets":
        keys += [_by(names) for names in _GROUPS]
    for key in keys:
        groups: dict[Hashable, list[Change]] = defaultdict(list)
        for change in left:
            groups[key(change.row)].append(change)
        for about, changes in groups.items():
            for alike in _alike(changes):
                if len(alike) >= _SHARED and 2 * len(alike) > len(changes):
                    yield str(about), alike
                    gone = {id(c) for c in alike}
                    left = [c for c in left if id(c) not in gone]


def _by(names: tuple[str, ...]) -> Callable[[AnyRow], Hashable]:
    def key(row: AnyRow) -> Hashable:
        return "targets/" + "/".join(
            number_text(v) if isinstance(v, float) else str(v)
            for v in (getattr(row, name) for name in names)
        )

    return key


def _alike(changes: list[Change]) -> list[list[Change]]:
    parts: list[list[Change]] = []
    for change in sorted(changes, key=lambda c: (c.by, c.row.ref)):
        if parts and change.by - parts[-1][0].by <= 2 * _SAME:
            parts[-1].append(change)
        else:
            parts.append([change])
    return parts


def _together(about: str, changes: list[Change]) -> Doubt:
    by = median(c.by for c in changes)
    first = changes[0]
    strong = any(c.weight == "strong" for c in changes)
    _, looks = slip_of(float(np.exp(by)), _dimension(first.column), 0.02)
    words = "" if looks.endswith("times as much") else f": {looks}"
    return doubt(
        "common-factor",
        "strong" if strong else "weak",
        (c.row.ref for c in changes),
        first.column,
        f"{first.column} of {len(changes)} rows ({about}) is {np.exp(by):.4g} times what it was, "
        f"such as `{first.row.ref}` from {number_text(first.was)} to {number_text(first.now)}"
        f"{words}",
        "confirm with the source that the whole group changed by this factor",
        about=about,
    )


def _single(change: Change) -> Doubt:
    row, column = change.row, change.column
    if column.endswith("_c"):
        how = f"by {number_text(abs(change.now - change.was))} degC (limit {_DEGREES[1]:g} degC)"
    elif change.was <= 0 or change.now <= 0:
        how = "from or to nothing"
    else:
        limit = _limit(row, column)
        _, looks = slip_of(float(np.exp(change.by)), _dimension(column), 0.02)
        how = (
            f"{np.exp(change.by):.4g} times (limit {np.exp(limit):.3g} times)"
            if looks.endswith("times as much")
            else f"{looks} (limit {np.exp(limit):.3g} times)"
        )
    return doubt(
        "changed",
        change.weight,
        [row.ref],
        column,
        f"{column} changes from {number_text(change.was)} to {number_text(change.now)}: {how}",
        "compare with the source and correct it, or give the reason for the change",
    )


def _dimension(column: str) -> Dimension:
    if column.endswith("_kn"):
        return "force"
    if column.endswith("_bar") or column in ("span", "graduation"):
        return "pressure"
    if column.endswith("_mpa"):
        return "stress"
    return "length" if column.endswith("_mm") else "plain"


def _slid(column: str, pairs: list[tuple[AnyRow, AnyRow]]) -> Doubt | None:
    """Stretches of rows that each hold what a neighbour held before."""
    first = pairs[0][1]
    orders: list[tuple[str, ...]] = [first.key_columns]
    if first.table == "targets":
        orders.append(("series", "ring_style", "family", "od_mm", "wall_min_mm"))
    best: list[AnyRow] = []
    for names in orders:
        ordered = sorted(pairs, key=lambda pair: _ordered_key(pair[1], names))
        for by in (1, -1):
            found = _stretches(column, ordered, by)
            if len(found) > len(best):
                best = found
    if not best:
        return None
    refs = [row.ref for row in best]
    return doubt(
        "column-shifted",
        "strong",
        refs,
        column,
        f"{len(refs)} rows from `{refs[0]}` to `{refs[-1]}` have the {column} that their neighbour "
        "had before: the column looks shifted by a row",
        "compare this stretch of the column with its source, row by row, and enter it again",
        about=f"before/{refs[0]}..{refs[-1]}",
    )


def _stretches(column: str, ordered: list[tuple[AnyRow, AnyRow]], by: int) -> list[AnyRow]:
    was = [getattr(old, column) for old, _ in ordered]
    now = [getattr(new, column) for _, new in ordered]
    found: list[AnyRow] = []
    run: list[AnyRow] = []
    shown = set[object]()
    for n, (_, row) in enumerate([*ordered, ordered[-1]]):
        beside = n - by
        if n < len(ordered) and 0 <= beside < len(was) and now[n] == was[beside]:
            run.append(row)
            if now[n] != was[n]:
                shown.add(now[n])
            continue
        # Three rows of different numbers: one number entered in three rows is no slide.
        if len(shown) >= 3:
            found += run
        run, shown = [], set()
    return found


def _ordered_key(row: AnyRow, names: tuple[str, ...]) -> tuple[tuple[bool, float, str], ...]:
    values = (getattr(row, name) for name in names)
    return tuple(
        (False, float(v), "") if isinstance(v, (int, float)) else (True, 0.0, str(v))
        for v in values
    )


def _units(pairs: list[tuple[AnyRow, AnyRow]]) -> Iterable[Doubt]:
    for old, new in pairs:
        was, now = getattr(old, "unit", ""), getattr(new, "unit", "")
        if was != now:
            yield doubt(
                "changed",
                "strong",
                [new.ref],
                "unit",
                f"the unit of the dial changes from {was} to {now}: every reading changes with it",
                "read the unit from the dial",
            )


def _gone(table: str, rows: list[AnyRow], of: int) -> Iterable[Doubt]:
    if not rows:
        return
    refs = sorted(row.ref for row in rows)
    strong = table in _RISKY or (len(rows) > 0.1 * of and len(rows) >= 3)
    yield doubt(
        "rows-gone",
        "strong" if strong else "weak",
        refs,
        "",
        f"{len(rows)} of {of} rows of {table} are gone: {listed(refs)}",
        "confirm that they are meant to go",
        about=table,
    )
