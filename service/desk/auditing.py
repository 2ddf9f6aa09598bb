"""The audit trail told, and everything that was changed behind the back of the store."""

from pathlib import Path

from catalog.publishing import counted
from service.desk.naming import short
from service.desk.opening import opened
from service.desk.reading import tell_json
from service.desk.refused import FAULT
from service.desk.telling import Paper
from service.store.records import AuditEntry
from service.store.verifying import verified


def list_steps(folder: Path | None, after: int, *, as_json: bool) -> int:
    """Tell every step that was taken after another."""
    with opened(folder) as store, store.reading() as records:
        entries = records.audit(after)
    if as_json:
        tell_json(entries)
        return 0
    paper = Paper()
    if not entries:
        paper.print("no step was taken")
        return 0
    paper.table(("n", "at", "by", "step", "of", "note"), [_cells(entry) for entry in entries])
    _tell_head(paper, entries[-1])
    return 0


def verify(folder: Path | None, head: str | None) -> int:
    """Tell everything that is wrong in a store; 1 where anything is."""
    with opened(folder) as store, store.reading(checked=False) as records:
        faults = verified(records, head)
        entries = () if faults else records.audit()
    paper = Paper()
    for fault in faults:
        paper.whole(fault)
    if faults:
        paper.print(
            f"{counted(len(faults), 'fault')}: stop the service, keep a copy of the folder,"
        )
        paper.print("find out who could write it, and put back a sound one")
        return FAULT
    paper.print(f"{counted(len(entries), 'step')}, each as it was taken; nothing is wrong")
    if entries:
        _tell_head(paper, entries[-1])
    return 0


def _tell_head(paper: Paper, last: AuditEntry) -> None:
    paper.print(f"\nthe hash of step {last.n}; kept elsewhere, `audit verify --head` shows with it")
    paper.print("whether the end was cut off:")
    paper.whole(f"  {last.hash}")


def _cells(entry: AuditEntry) -> tuple[str, ...]:
    at = entry.at.replace("T", " ").removesuffix("Z")
    return str(entry.n), at, entry.by, entry.action, short(entry.subject), entry.note
