"""Changes that no replayed question reads, and rows that went while others came: read by people."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Final

from catalog.differences import CellChange, RowChange
from catalog.impact import NOT_REPLAYED
from catalog.plausibility.doubt import Doubt, doubt
from catalog.revision import Revision, rows_of
from catalog.rows import Source
from catalog.terms import GRADES

_UNREAD: Final = frozenset(NOT_REPLAYED)
# Said of a document, a size or a case; no rule reads them.
_SAID_ONLY: Final = {
    "sources.title",
    "sources.edition",
    "sources.clause",
    "sources.note",
    "sources.errata",
    "series.standard",
    "sizes.designation",
    "sizes.thread",
    "sizes.edition",
    "neighbours.label",
    "cases.arithmetic",
}
_TOLD: Final = 20
"""Rows that a message names."""


def unread(change: RowChange) -> tuple[CellChange, ...]:
    """Cells of a changed row that no replayed question reads."""
    if change.table in _UNREAD:
        return change.cells
    return tuple(cell for cell in change.cells if f"{change.table}.{cell.column}" in _UNREAD)


def unread_doubts(changes: Sequence[RowChange]) -> Iterator[Doubt]:
    """One strong doubt for each changed column that only a setup check or the office reads.

    Nothing else of a report would show that a limit of the bench was loosened.
    """
    rows: dict[str, list[str]] = defaultdict(list)
    for change in changes:
        if change.kind != "changed":
            continue
        for cell in unread(change):
            name = f"{change.table}.{cell.column}"
            if name not in _SAID_ONLY:
                rows[name].append(f"`{change.row}` {cell.before or 'blank'} -> {cell.after}")
    for name, told in rows.items():
        table, _, column = name.partition(".")
        message = f"{_counted(told)} another `{column}`, which no replayed question reads: "
        message += "; ".join(told[:_TOLD])
        remedy = "read every one of these rows in the report, and say why they change"
        yield doubt("not-replayed", "strong", (), column, message, remedy, about=table)


def replaced_doubts(changes: Sequence[RowChange]) -> Iterator[Doubt]:
    """One strong doubt for each table of which rows went and others came.

    The same row under another key is compared with nothing: its limits may be others.
    """
    for table in dict.fromkeys(change.table for change in changes):
        gone = [c.row for c in changes if c.table == table and c.kind == "removed"]
        new = [c.row for c in changes if c.table == table and c.kind == "added"]
        if gone and new:
            message = (
                f"{len(gone)} rows of `{table}` went and {len(new)} came: they may be the same "
                f"under another key, with other limits: gone {', '.join(gone[:_TOLD])}; new "
                f"{', '.join(new[:_TOLD])}"
            )
            remedy = "hold each new row against the one that it stands for"
            yield doubt("rows-replaced", "strong", (), "", message, remedy, about=table)


def grade_doubts(revision: Revision, before: Revision) -> Iterator[Doubt]:
    """A strong doubt where sources are trusted more than before, or are new and trusted much."""
    old = {source.id: source for source in rows_of(before, Source)}
    raised = [
        f"`{source.ref}` {old[source.id].grade if source.id in old else 'new'} -> {source.grade}"
        for source in rows_of(revision, Source)
        if _raised(source, old.get(source.id))
    ]
    if raised:
        message = (
            f"{len(raised)} sources are trusted more: answers lose the caution that says so: "
            + "; ".join(raised[:_TOLD])
        )
        remedy = "see the documents, and say who read them"
        yield doubt("grade-raised", "strong", (), "grade", message, remedy, about="sources")


def _raised(source: Source, was: Source | None) -> bool:
    trusted = GRADES.index(source.grade)
    if was is None:
        return trusted < GRADES.index("secondary")
    return trusted < GRADES.index(was.grade)


def _counted(told: list[str]) -> str:
    return "1 row has" if len(told) == 1 else f"{len(told)} rows have"
