"""catalog approve, activate, rollback, withdraw: steps that are taken in the name of a key."""

import argparse
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from shlex import quote
from typing import Final

import msgspec

from catalog.publishing import Report, counted
from service.cli.opening import activation_text, active, caller, data_folder, named, opened, short
from service.cli.options import Verbs, add_data, add_note, add_verb, note, number
from service.cli.telling import NOT_UNDERSTOOD, DeskError, Paper
from service.current import moment
from service.office.activating import activate, withdraw
from service.office.approving import approve
from service.store.records import Acknowledged, Activation
from service.store.sqlite.reading import Records

_IN_NAME_OF: Final = "The step is taken in the name of the key in RINGWRIGHT_KEY."


def add_verbs(verbs: Verbs) -> None:
    """Add the steps between a proposal and its end."""

    def add(name: str, run: Callable[..., int], about: str) -> argparse.ArgumentParser:
        return add_verb(verbs, name, run, help=about, epilog=_IN_NAME_OF)

    about = "answer for a revision whose report you have read"
    approving = add("approve", approve_revision, about)
    approving.add_argument("revision", metavar="REVISION")
    about = "digest of the report that you have read"
    approving.add_argument("--report", required=True, metavar="DIGEST", help=about)
    approving.add_argument(
        "--acknowledge",
        action="append",
        type=_acknowledgement,
        default=[],
        metavar="DOUBT=REASON",
        help="why a strong doubt does not hold; give one for each",
    )
    add_note(approving)
    about = "have an approved revision answer from now on"
    activating = add("activate", activate_revision, about)
    activating.add_argument("revision", metavar="REVISION")
    about = "number of the activation that you have seen last; asked on a terminal if not given"
    activating.add_argument("--expected", type=number, metavar="N", help=about)
    add_note(activating)
    going_back = add("rollback", roll_back, "go back to a revision that answered before")
    about = "the one before, unless given"
    going_back.add_argument("revision", nargs="?", metavar="REVISION", help=about)
    add_note(going_back)
    about = "have every answer that rests on rows of a revision, or on all of it, rejected"
    withdrawing = add("withdraw", withdraw_rows, about)
    withdrawing.add_argument("revision", metavar="REVISION")
    what = withdrawing.add_mutually_exclusive_group(required=True)
    about = "a row as answers name it, such as `targets/S/16/...`; give one for each"
    what.add_argument("--row", action="append", default=[], metavar="REF", help=about)
    what.add_argument("--whole", action="store_true", help="the whole revision")
    add_note(withdrawing, "--reason")
    for parser in (approving, activating, going_back, withdrawing):
        add_data(parser)


def _acknowledgement(text: str) -> str:
    doubt, mark, reason = text.partition("=")
    if not doubt or not mark:
        message = f"`{text}` is no acknowledgement: give DOUBT=REASON"
        raise argparse.ArgumentTypeError(message)
    note(reason)
    return text


def approve_revision(
    data: Path | None, revision: str, report: str, acknowledge: Sequence[str], note: str
) -> int:
    """Approve a revision by the digest of the report that was read."""
    with opened(data) as store:
        by = caller(store, "approve")
        with store.reading() as records:
            asked = named(records, revision)
            given = _acknowledged(records, asked, report, acknowledge)
        done = approve(
            store, asked, report=report, acknowledged=given, note=note, by=by, at=moment()
        )
    paper = Paper()
    kept = done.approval
    paper.print(f"approval {kept.n}: {short(asked)} by {kept.by}")
    if not done.new:
        paper.print(f"it was given at {kept.at}, of this very report: nothing was added")
    paper.print("next: whoever may activate it has it answer from then on:")
    place = quote(str(data_folder(data)))
    command = f"ringwright catalog activate {short(asked)} --note 'NOTE' --data {place}"
    paper.whole(f"  {command}", style="bold")
    return 0


def activate_revision(data: Path | None, revision: str, note: str, expected: int | None) -> int:
    """Have an approved revision answer from now on; what it replaces is asked on a terminal."""
    with opened(data) as store:
        by = caller(store, "activate")
        with store.reading() as records:
            asked, last = named(records, revision), active(records)
        seen = _confirmed(asked, last) if expected is None else expected
        done = activate(store, asked, expected=seen, note=note, by=by, at=moment())
    Paper().print(f"{activation_text(done)}\nthe next answer of every process rests on it")
    return 0


def roll_back(data: Path | None, revision: str | None, note: str) -> int:
    """Go back to a revision that answered before; it needs no approval."""
    with opened(data) as store:
        by = caller(store, "activate")
        with store.reading() as records:
            last, before = active(records), {each.revision for each in records.activations()}
            asked = _last_sound(records) if revision is None else named(records, revision)
        if asked not in before:
            message = f"{short(asked)} has never answered: have it approved and activate it"
            raise DeskError(message)
        done = activate(store, asked, expected=last.n, note=note, by=by, at=moment())
    Paper().print(f"{activation_text(done)}\nit takes the place of {short(last.revision)}")
    return 0


def withdraw_rows(
    data: Path | None, revision: str, row: Sequence[str], reason: str, *, whole: bool
) -> int:
    """Withdraw rows of a revision, or the whole of it, for good."""
    with opened(data) as store:
        by = caller(store, "activate")
        with store.reading() as records:
            asked, last = named(records, revision), active(records)
        done = withdraw(
            store, asked, rows=tuple(row), whole=whole, reason=reason, by=by, at=moment()
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
