"""Words that several requests share: notes, digests, names of revisions, pages of a list."""

from collections.abc import Sequence
from typing import Annotated, Final, TypeVar

from msgspec import UNSET, Meta, Struct, UnsetType

from catalog.wanted import NOT_BLANK, about
from service.store.records import WHY

T = TypeVar("T")

NOTE_LETTERS: Final = 2000

Note = Annotated[str, Meta(min_length=1, max_length=NOTE_LETTERS, pattern=NOT_BLANK), about(WHY)]
Digest = Annotated[str, Meta(pattern="^sha256:[0-9a-f]{64}$")]
RevisionName = Annotated[str, Meta(pattern="^(current|sha256:[0-9a-f]{64})$")]
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
