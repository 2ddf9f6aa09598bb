"""audit list, verify: the trail, and everything that was changed behind the back of the store."""

from pathlib import Path

from catalog.publishing import counted
from service.cli.opening import opened, short
from service.cli.options import Verbs, add_data, add_verb, number
from service.cli.telling import FAULT, Paper, tell_json
from service.store.records import AuditEntry
from service.store.verifying import verified


def add_verbs(verbs: Verbs) -> None:
    """Add the commands for the audit trail."""
    listing = add_verb(verbs, "list", list_steps, help="every step: who, when, what, why")
    listing.add_argument("--after", type=number, default=0, metavar="N", help="only later ones")
    listing.add_argument("--json", action="store_true", help="as JSON, with every hash")
    add_data(listing)
    about = "say everything that was changed behind our back"
    verifying = add_verb(verbs, "verify", verify, help=about)
    about = "a hash that was kept elsewhere: shows that the end was cut off"
    verifying.add_argument("--head", metavar="HASH", help=about)
    add_data(verifying)


def list_steps(data: Path | None, after: int, *, json: bool) -> int:
    """Tell every step that was taken after another."""
    with opened(data) as store, store.reading() as records:
        entries = records.audit(after)
    if json:
        tell_json(entries)
        return 0
    paper = Paper()
    if not entries:
        paper.print("no step was taken")
        return 0
    lines = []
    for each in entries:
        at = each.at.replace("T", " ").removesuffix("Z")
        lines.append((str(each.n), at, each.by, each.action, short(each.subject), each.note))
    paper.table(("n", "at", "by", "step", "of", "note"), lines)
    _tell_head(paper, entries[-1])
    return 0


def verify(data: Path | None, head: str | None) -> int:
    """Tell everything that is wrong in a store; 1 where anything is."""
    with opened(data) as store, store.reading(checked=False) as records:
        faults = verified(records, head)
        entries = () if faults else records.audit()
    paper = Paper()
    for fault in faults:
        paper.whole(fault)
    if faults:
        told = f"{counted(len(faults), 'fault')}: stop the service, keep a copy of the folder,"
        paper.print(f"{told}\nfind out who could write it, and put back a sound one")
        return FAULT
    paper.print(f"{counted(len(entries), 'step')}, each as it was taken; nothing is wrong")
    if entries:
        _tell_head(paper, entries[-1])
    return 0


def _tell_head(paper: Paper, last: AuditEntry) -> None:
    paper.print(f"\nthe hash of step {last.n}; kept elsewhere, `audit verify --head` shows with it")
    paper.print("whether the end was cut off:")
    paper.whole(f"  {last.hash}")
