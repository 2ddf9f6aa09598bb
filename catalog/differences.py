"""What differs between two revisions, row by row and cell by cell."""

from collections.abc import Iterator
from typing import Annotated, Any, Literal

from msgspec import Struct

from catalog.loading import cell_text
from catalog.revision import Revision
from catalog.rows import TABLES, AnyRow, key_of
from catalog.wanted import about

RowChangeKind = Literal["added", "removed", "changed"]


class CellChange(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A cell as its text in a table, before and after."""

    column: Annotated[str, about("name of the column")]
    before: Annotated[str, about("text of the cell before; empty for a blank")]
    after: Annotated[str, about("text of the cell after; empty for a blank")]


class RowChange(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A row that was added, removed, or has other cells under the same key."""

    table: Annotated[str, about("name of the table")]
    row: Annotated[str, about("name of the row, as answers name it")]
    kind: Annotated[RowChangeKind, about("what became of the row")]
    cells: Annotated[tuple[CellChange, ...], about("cells that differ")]


def differences(before: Revision | None, after: Revision) -> tuple[RowChange, ...]:
    """Every row that differs, by table and key; with nothing before, every row is added.

    A table whose digest is the same is not looked at: its bytes are the same.
    """
    return tuple(
        change
        for name in TABLES
        if before is None or not _same_bytes(name, before, after)
        for change in _of_table(name, () if before is None else before.tables[name], after)
    )


def _same_bytes(name: str, before: Revision, after: Revision) -> bool:
    # The same bytes of another format may say something else; a table that was not stored is read
    # from others, which may differ.
    old, new = before.manifest, after.manifest
    digest = old.tables.get(name)
    return old.format == new.format and digest is not None and digest == new.tables.get(name)


def _of_table(name: str, old_rows: tuple[AnyRow, ...], after: Revision) -> Iterator[RowChange]:
    old = {row.ref: row for row in old_rows}
    new = {row.ref: row for row in after.tables[name]}
    rows = {**old, **new}
    for ref in sorted(rows, key=lambda ref: key_of(rows[ref])):
        before, now = old.get(ref), new.get(ref)
        kind: RowChangeKind = "added" if before is None else "removed" if now is None else "changed"
        cells = _cells(before, now)
        if cells or kind != "changed":
            yield RowChange(table=name, row=ref, kind=kind, cells=cells)


def _cells(before: AnyRow | None, after: AnyRow | None) -> tuple[CellChange, ...]:
    row = after if before is None else before
    columns: tuple[str, ...] = () if row is None else row.__struct_fields__
    told = []
    for column in columns:
        old, new = _text(before, column), _text(after, column)
        if old != new:
            told.append(CellChange(column=column, before=old, after=new))
    return tuple(told)


def _text(row: AnyRow | None, column: str) -> str:
    value: Any = None if row is None else getattr(row, column)
    return cell_text(value)
