"""What a whole setup check costs when a table has 10, 100 and 1,000 times its rows.

`uv run python -m tests.benchmarks.growth` prints it, and fails at twice a recorded ratio. The rows
that are added have keys of their own, and no setup that is asked is about them, so that the same
answers are given: what is measured is what it costs to find the right row among others. In process,
by the library; both catalogs take turns in every round.
"""

import sys
import time
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any

import msgspec
from msgspec import structs

from catalog.answers.setup_check import setup_check
from catalog.answers.shapes import SetupCheckAnswer
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.questions import SetupCheckQuestion
from catalog.revision import rows_of
from catalog.rows import Target, key_of
from catalog.seed import shipped_revision
from tests.benchmarks.mixes import index, setups
from tests.benchmarks.recorded import verdict
from tests.benchmarks.servers import in_room, room_of
from tests.benchmarks.table import OTHER, OURS, Figures, Options, median, options_of, show

RECORDED = {
    "sources x 1000": 1.03,
    "materials x 1000": 1.07,
    "strengths x 1000": 1.01,
    "tubes x 100": 26,
    "neighbours x 1000": 65,
    "inserts x 1000": 1.01,
    "series x 1000": 1,
    "sizes x 1000": 1.01,
    "derating x 1000": 1,
    "rings x 1000": 1,
    "presses x 1000": 1.07,
    "gauges x 1000": 1,
    "cones x 1000": 1,
    "plates x 1000": 1.02,
    "targets x 100": 1,
    "cut_methods x 1000": 1,
    "coatings x 1000": 1.02,
    "fluids x 1000": 1,
    "cases x 1000": 1,
}
"""Ratios to the shipped tables, as `--quick` measures them."""
FACTORS = (10, 100, 1000)
MOST_ROWS = 70_000
"""Rows that a table has at the most with `--quick`, which compiles each table once."""
ASKED = 25
ROUNDS = 9
STEP = 1e-3
"""Between two keys that are a number."""
Added = Callable[[Any, int], dict[str, Any]]


def _id(row: Any, n: int) -> dict[str, Any]:
    return {"id": f"{row.id}-{n}"}


def _od(_: Any, n: int) -> dict[str, Any]:
    """Beyond every size that is asked."""
    return {"od_mm": 100 + n * STEP}


ADDED: Mapping[str, Added] = {
    "sources": _id,
    "materials": lambda row, n: {**_id(row, n), "names": ()},
    "strengths": lambda _, n: {"temp_c": 500 + n * STEP},
    "tubes": _od,
    "neighbours": _od,
    "inserts": _od,
    "series": lambda row, n: {**_id(row, n), "preset": False},
    "sizes": lambda row, n: {"series": "LL", **_od(row, n)},
    "derating": lambda _, n: {"temp_max_c": 500 + n * STEP},
    "rings": lambda row, n: {**_id(row, n), "series": "LL", "od_mm": None},
    "presses": _id,
    "gauges": _id,
    "cones": lambda row, n: {**_id(row, n), "series": "LL", "od_mm": 4.0},
    "plates": lambda row, n: {**_id(row, n), **_od(row, n)},
    "targets": lambda _, n: dict.fromkeys(("wall_min_mm", "wall_max_mm"), 100 + n * STEP),
    "cut_methods": _id,
    "coatings": _id,
    "fluids": _id,
    "cases": _id,
}
"""What makes a row another, by table.

No text without a code may be added, and the limits of tube ends cover every od already: these two
tables do not grow.
"""
WANTED = {f"{table} x 1000": (1.2, 1.05) for table in ADDED}


def measure(options: Options) -> dict[str, float]:
    """Print the table; the ratios that are recorded."""
    trees = {OURS: figures(quick=options.quick)}
    if options.tree is not None:
        code = f"from tests.benchmarks.growth import tell; tell(quick={options.quick})"
        with room_of(options.tree) as room:
            trees[OTHER] = msgspec.json.decode(in_room(room, "-c", code), type=Figures)
    show(trees, WANTED, options.json)
    medians = median(trees[OURS])
    return {name: medians[name] for name in RECORDED}


def tell(*, quick: bool) -> None:
    """Write the figures where another tree reads them."""
    sys.stdout.write(msgspec.json.encode(figures(quick=quick)).decode())


def figures(*, quick: bool) -> Figures:
    """Ratio of every round, by table and factor."""
    asked = setups(ASKED, {row.od_mm for row in far()})
    told = {}
    for table in ADDED:
        count = len(shipped_revision().tables[table])
        factors = [factor for factor in FACTORS if not quick or factor * count <= MOST_ROWS]
        for factor in factors[-1:] if quick else factors:
            told[f"{table} x {factor}"] = _ratios(index(), grown(table, factor), asked)
    return told


def grown(table: str, factor: int) -> Index:
    """The shipped tables, one of them with so many times its rows."""
    revision = shipped_revision()
    rows = revision.tables[table]
    base = far() if table == "targets" else rows
    added = [
        structs.replace(row, **ADDED[table](row, n))
        for n in range(len(rows) * (factor - 1))
        for row in (base[n % len(base)],)
    ]
    tables = {**revision.tables, table: tuple(sorted((*rows, *added), key=key_of))}
    return compile_revision(structs.replace(revision, tables=tables))


@cache
def far() -> tuple[Target, ...]:
    """Targets of the largest size of each series: none of these sizes is asked."""
    rows = sorted(rows_of(shipped_revision(), Target), key=lambda row: row.od_mm)
    largest_mm = {row.series: row.od_mm for row in rows}
    return tuple(row for row in rows if row.od_mm == largest_mm[row.series])


def _ratios(small: Index, large: Index, asked: Sequence[SetupCheckQuestion]) -> list[float]:
    # Once before it counts: what is remembered by row is remembered then.
    for question in asked:
        _same(setup_check(small, question), setup_check(large, question))
    return [_cost(large, asked) / _cost(small, asked) for _ in range(ROUNDS)]


def _same(one: SetupCheckAnswer, other: SetupCheckAnswer) -> None:
    if structs.replace(other, revision=one.revision) != one:
        raise RuntimeError(f"rows of no concern have changed {one!r} to {other!r}")


def _cost(index: Index, asked: Sequence[SetupCheckQuestion]) -> int:
    begun = time.thread_time_ns()
    for question in asked:
        setup_check(index, question)
    return time.thread_time_ns() - begun


def main(arguments: Sequence[str] = ()) -> int:
    """Measure; 1 at twice a recorded ratio."""
    return verdict(measure(options_of(arguments, __doc__)), RECORDED)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
