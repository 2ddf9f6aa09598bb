"""A page of a list: from where, how many, and where the next one begins."""

from collections.abc import Sequence
from typing import Annotated, TypeVar

from msgspec import UNSET, Meta, Struct, UnsetType

from catalog.wanted import about

T = TypeVar("T")

Limit = Annotated[int, Meta(ge=1, le=1000)]
After = Annotated[int, Meta(ge=0, le=10**12)]
Next = Annotated[
    int | UnsetType, about("what to ask as `after` for the next page; left out: there is none")
]


class PageQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which page: the entries after `after`, at most `limit` of them."""

    after: Annotated[After, about("entries to pass over, or the number of the last one seen")] = 0
    limit: Annotated[Limit, about("how many entries")] = 100


def page(items: Sequence[T], after: int, limit: int) -> tuple[tuple[T, ...], int | UnsetType]:
    """Entries of a page, and what to ask as `after` for the next one, if there is one."""
    end = after + limit
    return tuple(items[after:end]), end if end < len(items) else UNSET
