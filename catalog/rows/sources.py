"""Documents, and how far each is trusted."""

from typing import ClassVar

from msgspec import Struct

from catalog.rows.row import Id, NeededText, Text
from catalog.terms import Grade


class Source(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A document, or what stands in for one, and how far it is trusted."""

    table: ClassVar[str] = "sources"
    key_columns: ClassVar[tuple[str, ...]] = ("id",)

    id: Id
    title: NeededText
    edition: Text
    clause: Text
    grade: Grade
    note: Text
    errata: Text

    @property
    def ref(self) -> str:
        """Name of the row in an answer."""
        return f"sources/{self.id}"

    @property
    def sources(self) -> tuple[str, ...]:
        """Ids of every source that the row rests on: itself."""
        return (self.id,)
