"""What is stored, told: the revisions, and what differs between two of them."""

import sys
from pathlib import Path

import msgspec

from catalog.differences import differences
from catalog.publishing import counted
from catalog.rows import TABLES
from service.desk.naming import active, named, short
from service.desk.opening import opened
from service.desk.refused import NOT_UNDERSTOOD, DeskError
from service.desk.telling import Paper
from service.desk.wording import ROW_HEADS, row_cells
from service.office.proposing import stored_revision
from service.office.states import RevisionState, states_of
from service.store.records import Activation


def list_revisions(folder: Path | None, *, as_json: bool) -> int:
    """Tell every stored revision in the order in which they came in."""
    with opened(folder) as store, store.reading() as records:
        last, states = active(records), states_of(records)
    if as_json:
        tell_json(states)
        return 0
    paper = Paper()
    paper.table(("revision", "state", "proposed", "by", "note"), [_cells(s) for s in states])
    paper.print()
    paper.print(activation_text(last))
    return 0


def diff(folder: Path | None, before: str, after: str, table: str | None, *, as_json: bool) -> int:
    """Tell the rows that differ between two revisions, from the first to the second."""
    if table is not None and table not in TABLES:
        message = f"`{table}` is no table: the tables are {', '.join(TABLES)}"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    with opened(folder) as store, store.reading() as records:
        old = stored_revision(records, named(records, before))
        new = stored_revision(records, named(records, after))
    rows = [each for each in differences(old, new) if table in {None, each.table}]
    if as_json:
        tell_json({"before": old.id, "after": new.id, "count": len(rows), "rows": rows})
        return 0
    paper = Paper()
    differ = counted(len(rows), "row differs", "rows differ")
    paper.print(f"from {short(old.id)} to {short(new.id)}: {differ}")
    if rows:
        paper.table(ROW_HEADS, [cells for row in rows for cells in row_cells(row)])
    return 0


def activation_text(activation: Activation) -> str:
    """Activation in one sentence."""
    return (
        f"activation {activation.n} holds: {short(activation.revision)} since {activation.at}, by "
        f"{activation.by}: {activation.note}"
    )


def tell_json(value: object) -> None:
    """Tell JSON to a program."""
    sys.stdout.write(msgspec.json.format(msgspec.json.encode(value)).decode() + "\n")


def _cells(state: RevisionState) -> tuple[str, ...]:
    rows = counted(state.withdrawn_rows, "row")
    withdrawn = f", {rows} withdrawn" if state.withdrawn_rows else ""
    revision, told = short(state.revision), state.state + withdrawn
    return revision, told, state.proposed_at[:10], state.proposed_by, state.note
