"""Slips of an office, made on the shipped tables, and the doubts that they must raise."""

from collections import defaultdict
from collections.abc import Callable
from functools import cache
from typing import Any, TypeVar, cast

from msgspec import structs

from catalog.plausibility import Doubt, DoubtKind, doubts_of
from catalog.revision import Revision, revision_of
from catalog.rows import AnyRow, Target
from catalog.seed import shipped_revision

R = TypeVar("R", bound=AnyRow)
Which = Callable[[Any], bool]


@cache
def shipped() -> Revision:
    """The shipped tables, which raise no doubt."""
    return shipped_revision()


def slipped(table: str, which: Which, change: Callable[[Any], dict[str, Any]]) -> Revision:
    """Shipped tables with some rows of one of them changed; that there are any is made sure."""
    rows = shipped().tables[table]
    changed = [structs.replace(r, **change(r)) if which(r) else r for r in rows]
    if not any(which(r) for r in rows):
        message = f"no such row in {table}"
        raise KeyError(message)
    return revision_of({**shipped().tables, table: changed})


def ref(name: str) -> Which:
    """The one row of this name."""
    return lambda row: bool(row.ref == name)


def times(factor: float, *columns: str) -> Callable[[Any], dict[str, Any]]:
    """Columns multiplied, rounded to four digits as an office would enter them."""
    return lambda row: {c: float(f"{getattr(row, c) * factor:.4g}") for c in columns}


def targets() -> tuple[Target, ...]:
    """Rows of the shipped targets."""
    return cast(tuple[Target, ...], shipped().tables["targets"])


def exchanged(one: str, other: str, *columns: str) -> Revision:
    """Shipped tables with columns of two targets exchanged."""
    row = {r.ref: r for r in targets()}
    twin = {one: row[other], other: row[one]}
    return slipped(
        "targets",
        lambda r: r.ref in twin,
        lambda r: {c: getattr(twin[r.ref], c) for c in columns},
    )


def shifted(
    run: Callable[[Target], tuple[Any, ...]],
    order: Callable[[Target], tuple[Any, ...]],
    columns: tuple[str, ...],
    by: int = 1,
    which: Which = lambda _: True,
) -> Revision:
    """Shipped tables with columns of the targets entered `by` rows too low within each run."""
    runs: dict[tuple[Any, ...], list[Target]] = defaultdict(list)
    for row in targets():
        if which(row):
            runs[run(row)].append(row)
    holds: dict[str, Target] = {}
    for rows in runs.values():
        rows.sort(key=order)
        for n, row in enumerate(rows):
            # What is pushed over the end is lost, and the first row keeps its own.
            holds[row.ref] = rows[min(max(n - by, 0), len(rows) - 1)]
    return slipped(
        "targets",
        lambda r: r.ref in holds,
        lambda r: {c: getattr(holds[r.ref], c) for c in columns},
    )


def strong(revision: Revision, before: Revision | None = None) -> list[Doubt]:
    """Strong doubts about a revision."""
    return [d for d in doubts_of(revision, before) if d.weight == "strong"]


def about(doubts: list[Doubt], row: str, column: str) -> list[DoubtKind]:
    """Kinds of the doubts that name a row and a column."""
    return [d.kind for d in doubts if row in d.rows and d.column == column]


CARBON_16 = "targets/S/16/1.9/2.1/carbon-steel/metal/none"
STAINLESS_16 = "targets/S/16/1.9/2.1/stainless-steel/metal/none"
CARBON_16_THICK = "targets/S/16/2.4/2.6/carbon-steel/metal/none"
CARBON_20 = "targets/S/20/1.9/2.1/carbon-steel/metal/none"
