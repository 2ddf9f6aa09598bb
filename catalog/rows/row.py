"""What every row of a table has, the kinds of its cells, and its key."""

from functools import cached_property
from typing import Annotated, ClassVar, Final, Protocol

import msgspec
import rfc8785
from msgspec import Meta, Struct

from catalog.quantities import size_key

Id = Annotated[str, Meta(pattern="^[A-Za-z0-9][A-Za-z0-9._+-]*$", min_length=1, max_length=80)]
Name = Annotated[str, Meta(pattern="^[^;\\s][^;]*$", min_length=1, max_length=80)]
Text = Annotated[str, Meta(max_length=600)]
NeededText = Annotated[str, Meta(min_length=1, max_length=600)]
Mm = Annotated[float, Meta(gt=0, le=1000)]
Stress = Annotated[float, Meta(gt=0, le=5000)]
Bar = Annotated[float, Meta(gt=0, le=10_000)]
Force = Annotated[float, Meta(gt=0, le=100_000)]
Celsius = Annotated[float, Meta(ge=-273.15, le=1500)]
Percent = Annotated[float, Meta(ge=0, lt=100)]
Count = Annotated[int, Meta(ge=1, le=1_000_000)]
_MOST_WHOLE: Final = 2**53
_LEAST_PLAIN, _MOST_PLAIN = 1e-3, 1e15


def number_text(value: float) -> str:
    """Shortest plain text of a number: 16, 6.35."""
    return f"{value:.10g}"


class Row(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, dict=True, eq=False):
    """What every row has: a table, a key, a source.

    A row is equal to itself alone: numbers that follow from rows are remembered by row, and two
    revisions share one only where it says the same in both. To compare what rows say, compare their
    canonical bytes.
    """

    table: ClassVar[str] = ""
    key_columns: ClassVar[tuple[str, ...]] = ("id",)

    source: Id

    @cached_property
    def ref(self) -> str:
        """Name of the row in an answer: `table/key/key`."""
        parts = (getattr(self, column) for column in self.key_columns)
        return "/".join((self.table, *(_key_text(part) for part in parts if part is not None)))

    @cached_property
    def key(self) -> tuple[str | int, ...]:
        """Key of the row, as `key_of` tells that of any."""
        return _key(self)

    @cached_property
    def line(self) -> bytes:
        """Row as canonical JSON, worked out once."""
        return canonical_line(self)

    @cached_property
    def source_columns(self) -> tuple[str, ...]:
        """Columns that name a source."""
        return tuple(f for f in self.__struct_fields__ if f.endswith("source"))

    @cached_property
    def sources(self) -> tuple[str, ...]:
        """Ids of every source that the row rests on."""
        named = (getattr(self, column) for column in self.source_columns)
        return tuple(dict.fromkeys(s for s in named if s is not None))


def canonical_line(row: Struct) -> bytes:
    """Row as canonical JSON (RFC 8785).

    msgspec writes the same bytes in a twentieth of the time, but for numbers that it has in another
    form: whole ones, and very small or large ones, which are left to the library of the RFC.
    """
    cells = msgspec.to_builtins(row)
    for name, value in cells.items():
        if isinstance(value, float) and value.is_integer() and abs(value) < _MOST_WHOLE:
            cells[name] = int(value)
        elif not _is_written_alike(value):
            return rfc8785.dumps(cells)
    return msgspec.json.encode(cells, order="sorted")


def _is_written_alike(value: object) -> bool:
    if isinstance(value, float):
        return not value.is_integer() and _LEAST_PLAIN <= abs(value) < _MOST_PLAIN
    if isinstance(value, int):
        return abs(value) < _MOST_WHOLE
    if isinstance(value, list | tuple):
        return all(isinstance(each, str) for each in value)
    return value is None or isinstance(value, str)


def _key_text(value: object) -> str:
    return number_text(value) if isinstance(value, float) else str(value)


class Keyed(Protocol):
    """A row as its key is read."""

    key_columns: ClassVar[tuple[str, ...]]


def key_of(row: Keyed) -> tuple[str | int, ...]:
    """Key of a row in its table; a size counts in whole tenths of a micrometre."""
    return row.key if isinstance(row, Row) else _key(row)


def _key(row: Keyed) -> tuple[str | int, ...]:
    return tuple(
        size_key(value) if column.endswith("_mm") else _plain(value)
        for column in row.key_columns
        for value in (getattr(row, column),)
    )


def _plain(value: object) -> str | int:
    if value is None:
        return ""
    return round(value * 1000) if isinstance(value, float) else str(value)
