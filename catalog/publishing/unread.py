"""What people must read: changes that no replayed question reads, rows replaced or withdrawn."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from catalog.differences import CellChange, RowChange
from catalog.impact import NOT_REPLAYED
from catalog.plausibility.doubt import Doubt, doubt
from catalog.plausibility.naming import MOST_NAMED
from catalog.rows import AnyRow
from catalog.withdrawing import WithdrawnRow, withdrawn_in

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
_ONLY_ASKS: Final = {"cases"}
"""Tables of which a new row can loosen nothing."""


def unread(change: RowChange) -> tuple[CellChange, ...]:
    """Cells of a changed row that no replayed question reads."""
    if change.table in _UNREAD:
        return change.cells
    return tuple(cell for cell in change.cells if f"{change.table}.{cell.column}" in _UNREAD)


def unread_doubts(changes: Sequence[RowChange]) -> Iterator[Doubt]:
    """Strong doubts for what only a setup check or the office reads, of rows changed or new.

    One for each changed column, and one for the new rows of each table. Nothing else of a report
    would show that a limit of the bench was loosened.
    """
    rows: dict[str, list[str]] = defaultdict(list)
    new: dict[str, dict[str, str]] = defaultdict(dict)
    for change in changes:
        cells = [c for c in unread(change) if f"{change.table}.{c.column}" not in _SAID_ONLY]
        if change.kind == "changed":
            for cell in cells:
                name = f"{change.table}.{cell.column}"
                rows[name].append(f"`{change.row}` {cell.before or 'blank'} -> {cell.after}")
        elif change.kind == "added" and change.table not in _ONLY_ASKS and cells:
            told = ", ".join(f"{cell.column} {cell.after}" for cell in cells)
            new[change.table][change.row] = f"`{change.row}` {told}"
    for name, lines in rows.items():
        table, _, column = name.partition(".")
        many = "1 row has" if len(lines) == 1 else f"{len(lines)} rows have"
        message = (
            f"{many} another `{column}`, which no replayed question reads in full: "
            + "; ".join(lines[:MOST_NAMED])
        )
        remedy = "read every one of these rows in the report, and say why they change"
        yield doubt("not-replayed", "strong", (), column, message, remedy, about=table)
    for table, added in new.items():
        many = "1 row is new" if len(added) == 1 else f"{len(added)} rows are new"
        lines = list(added.values())
        message = f"{many} in `{table}` with what no replayed question reads in full: " + "; ".join(
            lines[:MOST_NAMED]
        )
        remedy = "read every one of these rows in the report, and say what they are taken from"
        yield doubt("not-replayed", "strong", added, "", message, remedy, about=table)


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
                f"under another key, with other limits: gone {', '.join(gone[:MOST_NAMED])}; new "
                f"{', '.join(new[:MOST_NAMED])}"
            )
            remedy = "hold each new row against the one that it stands for"
            yield doubt("rows-replaced", "strong", (), "", message, remedy, about=table)


def withdrawn_doubts(
    rows: Mapping[str, AnyRow], changes: Sequence[RowChange], withdrawn: Sequence[WithdrawnRow]
) -> Iterator[Doubt]:
    """Doubts about rows that were withdrawn: the reason for that may hold still."""
    kept = withdrawn_in(rows, withdrawn)
    changed = {change.row: change for change in changes}
    added = [change.row for change in changes if change.kind == "added"]
    for each in {w.row: w for w in withdrawn}.values():
        said = f"`{each.row}` was withdrawn by {each.why.by} on {each.why.on}: {each.why.reason}"
        if each.row in kept:
            message = f"{said}; it stands here as it was, so answers on it stay rejected"
            yield _withdrawn(each.row, message, "mend the row, or say why it stays")
        elif each.row in changed and each.row in rows:
            cells = ", ".join(
                f"{c.column} {c.before} -> {c.after}" for c in changed[each.row].cells
            )
            message = f"{said}; it answers again with {cells}"
            yield _withdrawn(each.row, message, "see that what it was withdrawn for is mended")
        elif each.row in changed:
            table = each.row.partition("/")[0]
            like = [row for row in added if row.startswith(f"{table}/")]
            message = f"{said}; it is gone, and {len(like)} rows of its table are new"
            yield _withdrawn(
                each.row, message, "see that no new row says the same again", *like[:20]
            )


def _withdrawn(row: str, message: str, remedy: str, *more: str) -> Doubt:
    return doubt("withdrawn", "strong", (row, *more), "", message, remedy)
