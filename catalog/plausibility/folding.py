"""Doubts that say the same of the same cell told once, and very many of one kind told together."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Final

from msgspec import structs

from catalog.plausibility.doubt import Doubt, DoubtKind, doubt

# The doubt of a cell that the others are folded into: the one that names the slip comes first.
_FIRST: Final[tuple[DoubtKind, ...]] = (
    "unit-slip",
    "ten-times",
    "rows-swapped",
    "out-of-band",
    "out-of-line",
    "force-falls-with-strength",
    "force-falls-with-od",
    "force-falls-with-wall",
    "ratio",
    "relation",
    "wrong-order",
    "changed",
)
_FEW: Final = 2  # rows; what more rows share is told on its own
_MOST: Final = 30  # doubts of one kind on one column that are told one by one
_ALSO: Final = 6  # messages that are told within another
_TOLD: Final = 5  # of those that are told together, in words


def folded(doubts: Iterable[Doubt]) -> list[Doubt]:
    """The doubts, with those about a cell that another names already told in its words.

    The message of a doubt that is folded stands in the one that it went into.
    """
    found = sorted(doubts, key=_rank)
    kept: list[Doubt] = []
    also: dict[int, list[str]] = defaultdict(list)
    at_cell: dict[tuple[str, str], int] = {}
    for each in found:
        home = _home(each, at_cell, kept)
        if home is not None:
            also[home].append(each.message)
            continue
        if each.kind in _FIRST:
            for ref in each.rows if len(each.rows) > _FEW else each.rows[:1]:
                at_cell.setdefault((ref, each.column), len(kept))
        kept.append(each)
    told = [
        structs.replace(each, message=_with(each.message, also[n])) if n in also else each
        for n, each in enumerate(kept)
    ]
    return _together(told)


def _with(message: str, also: list[str]) -> str:
    more = [f"and {len(also) - _ALSO} more about the same cell"] if len(also) > _ALSO else []
    return "; also: ".join([message, *also[:_ALSO], *more])


def _rank(each: Doubt) -> tuple[object, ...]:
    place = _FIRST.index(each.kind) if each.kind in _FIRST else -1
    return (each.weight != "strong", place, -len(each.rows), each.id, each.message)


def _home(each: Doubt, at_cell: dict[tuple[str, str], int], kept: list[Doubt]) -> int | None:
    """The doubt that a doubt goes into: one about the same cell, or about all of its rows."""
    if each.kind not in _FIRST:
        return None
    # An order or a swap blames its first row; of two rows that only disagree either may be named.
    about = each.rows if each.kind == "relation" or len(each.rows) > _FEW else each.rows[:1]
    homes = {at_cell.get((ref, each.column)) for ref in about}
    if len(each.rows) > _FEW:
        # A doubt of many rows goes only where all of them are told already, as one slip.
        home = homes.pop() if len(homes) == 1 else None
        return home if home is not None and len(kept[home].rows) > _FEW else None
    known = sorted(home for home in homes if home is not None)
    if not known:
        return None
    if each.kind == "changed" and len(kept[known[0]].rows) > _FEW:
        return None
    return known[0]


def _together(doubts: list[Doubt]) -> list[Doubt]:
    of: dict[tuple[str, ...], list[Doubt]] = defaultdict(list)
    for each in doubts:
        table = each.rows[0].partition("/")[0] if each.rows else ""
        of[each.kind, each.weight, table, each.column].append(each)
    told = []
    for (_, _, table, column), alike in of.items():
        if len(alike) <= _MOST:
            told += alike
            continue
        first = alike[0]
        words = "; ".join(f"`{d.rows[0]}`: {d.message}" for d in alike[:_TOLD])
        told.append(
            doubt(
                first.kind,
                first.weight,
                (ref for each in alike for ref in each.rows),
                column,
                f"{len(alike)} doubts of one kind, the first {_TOLD}: {words}",
                first.remedy,
                about=f"{table}/all",
            )
        )
    return told
