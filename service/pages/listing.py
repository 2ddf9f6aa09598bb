"""The first of a long list, how many there are, and where the rest is."""

from collections.abc import Sequence
from typing import Final, Generic, TypeVar

from msgspec import Struct

SHOWN: Final = 200
"""Entries of a kind that stand on a page."""
LONG: Final = 30
"""Entries from which a part of a printed page begins on a new sheet."""

T = TypeVar("T")
G = TypeVar("G")


class Listing(Struct, Generic[T], frozen=True, kw_only=True):
    """Entries, or groups of them; `shown` and `count` are numbers of entries in either case."""

    items: tuple[T, ...]
    shown: int
    count: int
    rest: str

    @property
    def cut(self) -> bool:
        """Whether there are more than are shown."""
        return self.shown < self.count

    @property
    def long(self) -> bool:
        """Whether it begins on a new sheet."""
        return self.shown >= LONG


def listing(items: Sequence[T], path: str, before: int = 0, most: int = SHOWN) -> Listing[T]:
    """The first entries; `before` counts what stands ahead of them in the list at `path`."""
    return Listing(
        items=tuple(items[:most]),
        shown=min(len(items), most),
        count=len(items),
        rest=f"GET {path}&after={before + most}",
    )


def regrouped(plain: Listing[T], groups: tuple[G, ...]) -> Listing[G]:
    """The same entries in groups."""
    return Listing(items=groups, shown=plain.shown, count=plain.count, rest=plain.rest)
