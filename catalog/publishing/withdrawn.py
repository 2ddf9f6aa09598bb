"""What becomes of withdrawn rows in a proposal: kept, changed, or gone; each wants a reason."""

from collections.abc import Iterator, Mapping, Sequence

from catalog.differences import RowChange
from catalog.plausibility.doubt import Doubt, doubt
from catalog.rows import AnyRow
from catalog.withdrawing import WithdrawnRow, withdrawn_in


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
            yield _doubt(each.row, message, "mend the row, or say why it stays")
        elif each.row in changed and each.row in rows:
            cells = ", ".join(
                f"{c.column} {c.before} -> {c.after}" for c in changed[each.row].cells
            )
            message = f"{said}; it answers again with {cells}"
            yield _doubt(each.row, message, "see that what it was withdrawn for is mended")
        elif each.row in changed:
            table = each.row.partition("/")[0]
            like = [row for row in added if row.startswith(f"{table}/")]
            message = f"{said}; it is gone, and {len(like)} rows of its table are new"
            yield _doubt(each.row, message, "see that no new row says the same again", *like[:20])


def _doubt(row: str, message: str, remedy: str, *more: str) -> Doubt:
    return doubt("withdrawn", "strong", (row, *more), "", message, remedy)
