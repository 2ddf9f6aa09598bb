"""Steps of publishing that are taken in the name of a key: approve, activate, go back, withdraw."""

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from shlex import quote

import msgspec

from catalog.publishing import Report, counted
from service.current import moment
from service.desk.callers import caller
from service.desk.naming import active, named, short
from service.desk.opening import data_folder, opened
from service.desk.reading import activation_text
from service.desk.refused import NOT_UNDERSTOOD, DeskError
from service.desk.telling import Paper
from service.office.activating import activate, withdraw
from service.office.approving import approve
from service.store.records import Acknowledged, Activation
from service.store.sqlite.reading import Records


def approve_revision(
    folder: Path | None, revision: str, report: str, acknowledged: Sequence[str], note: str
) -> int:
    """Approve a revision by the digest of the report that was read."""
    with opened(folder) as store:
        by = caller(store, "approve")
        with store.reading() as records:
            asked = named(records, revision)
            given = _acknowledged(records, asked, report, acknowledged)
        done = approve(
            store, asked, report=report, acknowledged=given, note=note, by=by, at=moment()
        )
    paper = Paper()
    kept = done.approval
    paper.print(f"approval {kept.n}: {short(asked)} by {kept.by}")
    if not done.new:
        paper.print(f"it was given at {kept.at}, of this very report: nothing was added")
    paper.print("next: whoever may activate it has it answer from then on:")
    place = quote(str(data_folder(folder)))
    command = f"ringwright catalog activate {short(asked)} --note 'NOTE' --data {place}"
    paper.whole(f"  {command}", style="bold")
    return 0


def activate_revision(folder: Path | None, revision: str, note: str, expected: int | None) -> int:
    """Have an approved revision answer from now on; what it replaces is asked on a terminal."""
    with opened(folder) as store:
        by = caller(store, "activate")
        with store.reading() as records:
            asked, last = named(records, revision), active(records)
        seen = _confirmed(asked, last) if expected is None else expected
        done = activate(store, asked, expected=seen, note=note, by=by, at=moment())
    Paper().print(f"{activation_text(done)}\nthe next answer of every process rests on it")
    return 0


def roll_back(folder: Path | None, revision: str | None, note: str) -> int:
    """Go back to a revision that answered before; it needs no approval."""
    with opened(folder) as store:
        by = caller(store, "activate")
        with store.reading() as records:
            last, before = active(records), _answered_before(records)
            asked = _last_sound(records) if revision is None else named(records, revision)
        if asked not in before:
            message = f"{short(asked)} has never answered: have it approved and activate it"
            raise DeskError(message)
        done = activate(store, asked, expected=last.n, note=note, by=by, at=moment())
    Paper().print(f"{activation_text(done)}\nit takes the place of {short(last.revision)}")
    return 0


def withdraw_rows(
    folder: Path | None, revision: str, rows: Sequence[str], reason: str, *, whole: bool
) -> int:
    """Withdraw rows of a revision, or the whole of it, for good."""
    with opened(folder) as store:
        by = caller(store, "activate")
        with store.reading() as records:
            asked, last = named(records, revision), active(records)
        done = withdraw(
            store, asked, rows=tuple(rows), whole=whole, reason=reason, by=by, at=moment()
        )
    paper = Paper()
    what = "the whole revision" if whole else counted(len(done), "row")
    paper.print(f"{what} of {short(asked)} withdrawn: no answer may rest on it any more")
    for each in done:
        paper.whole(f"  {each.row or each.revision}, by {each.by} at {each.at}: {each.reason}")
    if whole and asked == last.revision:
        paper.print(
            "it is the one that answers: every answer is rejected until you activate another, or go"
            " back with `ringwright catalog rollback`",
            style="bold red",
        )
    return 0


def _acknowledged(
    records: Records, revision: str, digest: str, texts: Iterable[str]
) -> tuple[Acknowledged, ...]:
    """Doubts with their reasons; the id of a doubt may itself hold a `=`."""
    strong: tuple[str, ...] = ()
    if any(kept.digest == digest for kept in records.reports(revision)):
        strong = msgspec.json.decode(records.report(digest), type=Report).strong
    given = []
    for text in texts:
        meant = [doubt for doubt in strong if text.startswith(f"{doubt}=")]
        doubt = max(meant, key=len, default=text.partition("=")[0])
        given.append(Acknowledged(doubt=doubt, reason=text[len(doubt) + 1 :].strip()))
    return tuple(given)


def _confirmed(revision: str, last: Activation) -> int:
    """Number of the activation that is to be replaced, once a person has seen it and said yes."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        message = f"say which activation you have seen, with --expected N: {activation_text(last)}"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    paper = Paper()
    paper.print(activation_text(last))
    paper.print(f"{short(revision)} is to take its place: type `yes` if it shall")
    try:
        answer = input("> ")
    except EOFError:
        answer = ""
    if answer.strip().lower() != "yes":
        message = "nothing was activated"
        raise DeskError(message)
    return last.n


def _answered_before(records: Records) -> set[str]:
    return {each.revision for each in records.activations()}


def _last_sound(records: Records) -> str:
    """Revision that answered before the active one and was not withdrawn since.

    Going back undoes an activation: the revision that was left is not one to go back to.
    """
    stack: list[str] = []
    for activation in records.activations():
        if activation.revision in stack:
            del stack[stack.index(activation.revision) :]
        stack.append(activation.revision)
    withdrawn = {each.revision for each in records.withdrawals() if each.row is None}
    for revision in reversed(stack[:-1]):
        if revision not in withdrawn:
            return revision
    message = "no revision answered before it that is not withdrawn: name another"
    raise DeskError(message)
