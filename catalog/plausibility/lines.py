"""Columns that follow the od within a series, a family or a standard, and rows that do not."""

from collections import defaultdict
from collections.abc import Iterable, Set
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from msgspec import Struct

from catalog.plausibility.doubt import Doubt, DoubtKind, doubt
from catalog.plausibility.fit import theil_sen, usual_scale
from catalog.plausibility.forces import number
from catalog.plausibility.naming import Dimension, slip_of
from catalog.quantities import size_key
from catalog.revision import Revision
from catalog.rows import AnyRow, number_text


class Line(Struct, frozen=True):
    """A column along another within rows of one group, and which way it may not turn.

    A row more than `most` times off the line is doubted: own judgement. Ratings and tolerances go
    in steps, and are given more room; a decimal or a unit goes beyond all of them.
    """

    table: str
    column: str
    group: str
    never: Literal["falls", "rises", ""]
    dimension: Dimension = "length"
    most: float = 1.6
    along: str = "od_mm"


LINES: Final[tuple[Line, ...]] = (
    Line("sizes", "rated_pressure_bar", "series", "rises", "pressure", 2.0),
    Line("sizes", "nut_hex_mm", "series", "falls"),
    Line("sizes", "insertion_depth_mm", "series", "falls"),
    Line("sizes", "seal_diameter_mm", "series", "falls"),
    Line("sizes", "min_straight_mm", "series", "falls"),
    # A tool is held to the ceilings of its own size: a small one may bear more than a large one.
    Line("cones", "rated_force_kn", "series", "", "force"),
    Line("plates", "rated_force_kn", "system", "", "force"),
    # A limit lies between two walls that a tube is bought in, so it may fall from od to od.
    Line("inserts", "needed_below_mm", "family", ""),
    Line("inserts", "useless_below_mm", "family", "falls"),
    Line("tubes", "od_tolerance_mm", "standard", "", "length", 4.0),
    Line("neighbours", "od_tolerance_mm", "kind", "", "length", 4.0),
)
_COLD: Final[tuple[Line, ...]] = (
    *(
        Line("strengths", column, "material", "rises", "stress", along="temp_c")
        for column in ("yield_mpa", "tensile_mpa", "allowable_mpa", "endurance_mpa")
    ),
    Line("derating", "factor", "family", "rises", "plain", along="temp_max_c"),
)

_FEWEST: Final = 5
_TURNS: Final = 0.005  # log; two numbers that print alike do not turn


def line_doubts(revision: Revision, named: Set[tuple[str, str]]) -> list[Doubt]:
    """Doubts about rows off the line of their group, and about columns that turn.

    Cells that are `named` already, by row and column, are no measure of the others.
    """
    told = []
    for line in (*LINES, *_COLD):
        for group, every in _groups(revision, line):
            rows = [row for row in every if (row.ref, line.column) not in named]
            off = _off(line, rows) if line.along == "od_mm" else []
            told += _steps(line, off)
            if line.never:
                gone = {id(row) for row, _, _ in off}
                told += _turns(line, group, [r for r in rows if id(r) not in gone])
    return told


def _groups(revision: Revision, line: Line) -> Iterable[tuple[str, list[AnyRow]]]:
    found: dict[str, list[AnyRow]] = defaultdict(list)
    for row in revision.tables.get(line.table, ()):
        if getattr(row, line.column) is not None:
            found[str(getattr(row, line.group))].append(row)
    for group, rows in found.items():
        yield group, sorted(rows, key=lambda r: float(getattr(r, line.along)))


def _off(line: Line, rows: list[AnyRow]) -> list[tuple[AnyRow, float, float]]:
    """Rows far off the line, each with the log of how far, and the slack of the line."""
    if len(rows) < _FEWEST:
        return []
    od = np.log([number(getattr(r, line.along)) for r in rows])
    value = np.log([number(getattr(r, line.column)) for r in rows])
    slope, level = theil_sen(od, value)
    off = value - level - slope * od
    scale = usual_scale(off, 0.01)
    limit = max(float(np.log(line.most)), 6 * scale)
    return [
        (rows[n], float(off[n]), min(0.25, max(0.15, 3 * scale)))
        for n in np.flatnonzero(np.abs(off) > limit)
    ]


def _steps(line: Line, off: list[tuple[AnyRow, float, float]]) -> list[Doubt]:
    named: dict[tuple[DoubtKind, str], list[tuple[AnyRow, float]]] = defaultdict(list)
    for row, far, slack in off:
        kind, looks = slip_of(float(np.exp(far)), line.dimension, slack)
        named[kind, "" if looks.endswith("as much") else looks].append((row, far))
    told = []
    for (kind, words), rows in named.items():
        parts = [rows] if len(rows) >= 3 and words else [[r] for r in rows]
        for part in parts:
            row, far = part[0]
            value = getattr(row, line.column)
            looks = words or f"{np.exp(far):.3g} times as much"
            many = f"{len(part)} rows, the first `{row.ref}`: " if len(part) > 1 else ""
            told.append(
                doubt(
                    kind,
                    "strong",
                    (each.ref for each, _ in part),
                    line.column,
                    f"{many}{line.column} {number_text(value)}, but the other sizes of "
                    f"`{getattr(row, line.group)}` let expect about {value / np.exp(far):.3g} "
                    f"(limit {line.most:g} times): {looks}",
                    "compare with the source, unit first, and correct it, or give the reason",
                )
            )
    return told


def _turns(line: Line, group: str, rows: list[AnyRow]) -> list[Doubt]:
    """Steps between neighbouring sizes in the direction that the column never takes."""
    sign = 1.0 if line.never == "rises" else -1.0
    turns = []
    by_place: dict[int, list[AnyRow]] = defaultdict(list)
    for row in rows:
        by_place[size_key(float(getattr(row, line.along)))].append(row)
    for low, high in pairwise(sorted(by_place)):
        # Of several rows of one place, those that turn least.
        a = max(by_place[low], key=lambda r: sign * number(getattr(r, line.column)))
        b = min(by_place[high], key=lambda r: sign * number(getattr(r, line.column)))
        step = sign * float(
            np.log(number(getattr(b, line.column))) - np.log(number(getattr(a, line.column)))
        )
        if step > _TURNS:
            turns.append((a, b, step))
    parts = [turns] if len(turns) >= 4 else [[turn] for turn in turns]
    return [_turned(line, group, part) for part in parts if part]


def _turned(line: Line, group: str, turns: list[tuple[AnyRow, AnyRow, float]]) -> Doubt:
    a, b, step = max(turns, key=lambda turn: turn[2])
    one, other = getattr(a, line.column), getattr(b, line.column)
    many = f"{len(turns)} times in `{group}`, the worst: " if len(turns) > 1 else ""
    past = "rises" if line.never == "rises" else "falls"
    return doubt(
        "wrong-order",
        "strong",
        (row.ref for turn in turns for row in turn[:2]),
        line.column,
        f"{many}{line.column} {past} from {number_text(one)} in `{a.ref}` to {number_text(other)} "
        f"in `{b.ref}`, by {np.expm1(step) * 100:.3g} %: with {line.along} it never {past}",
        "compare both rows with their source and correct the wrong one, or give the reason",
        about=f"{line.table}/{group}" if len(turns) > 1 else b.ref,
    )
