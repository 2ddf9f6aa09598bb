"""A doubt about the tables of a revision: what looks wrong, how much, and what to do."""

from collections import Counter
from collections.abc import Iterable
from typing import Annotated, Literal

from msgspec import Struct, structs

from catalog.wanted import about

DoubtKind = Literal[
    "force-falls-with-od",
    "force-falls-with-wall",
    "force-falls-with-strength",
    "ten-times",
    "unit-slip",
    "out-of-line",
    "rows-swapped",
    "column-shifted",
    "line-load",
    "ratio",
    "out-of-band",
    "wrong-order",
    "relation",
    "changed",
    "common-factor",
    "rows-gone",
    "withdrawn",
    "not-replayed",
    "rows-replaced",
    "grade-raised",
    "no-good-pair",
]
Weight = Literal["strong", "weak"]


class Doubt(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One thing in the tables that looks wrong; a strong one wants an approver's reason.

    The same tables give the same `id`, and no two doubts of a report share one.
    """

    id: Annotated[str, about("name of the doubt, the same for the same tables")]
    kind: Annotated[DoubtKind, about("what looks wrong")]
    weight: Annotated[Weight, about("how much it counts")]
    rows: Annotated[tuple[str, ...], about("names of the rows that it is about")]
    column: Annotated[str, about("name of the column; empty for whole rows")]
    message: Annotated[str, about("what looks wrong, with the numbers")]
    remedy: Annotated[str, about("what to look at")]


def doubt(
    kind: DoubtKind,
    weight: Weight,
    rows: Iterable[str],
    column: str,
    message: str,
    remedy: str,
    *,
    about: str = "",
) -> Doubt:
    """Doubt about these rows; `about` names what many rows share, else the first row names it."""
    named = tuple(dict.fromkeys(rows))
    subject = about or (named[0] if named else "")
    return Doubt(
        id=f"{kind}:{subject}:{column}",
        kind=kind,
        weight=weight,
        rows=named,
        column=column,
        message=message,
        remedy=remedy,
    )


def in_order(doubts: Iterable[Doubt]) -> tuple[Doubt, ...]:
    """Doubts with the strong ones first, then by id; ids that meet are numbered apart."""
    ordered = sorted(doubts, key=lambda d: (d.weight != "strong", d.id, d.rows, d.message))
    shared = Counter(d.id for d in ordered)
    seen: Counter[str] = Counter()
    told = []
    for each in ordered:
        if shared[each.id] > 1:
            seen[each.id] += 1
            each = structs.replace(each, id=f"{each.id}#{seen[each.id]}")
        told.append(each)
    return tuple(sorted(told, key=lambda d: (d.weight != "strong", d.id)))
