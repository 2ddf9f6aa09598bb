"""catalog approve, activate, rollback, withdraw: steps that are taken in the name of a key."""

import argparse
from typing import Final

from service.command_line.kinds import Verbs, add_data, add_note, note, number

_IN_NAME_OF: Final = "The step is taken in the name of the key in RINGWRIGHT_KEY."


def add_steps(verbs: Verbs) -> None:
    """Add the steps between a proposal and its end."""
    approve = verbs.add_parser(
        "approve", help="answer for a revision whose report you have read", epilog=_IN_NAME_OF
    )
    approve.add_argument("revision", metavar="REVISION")
    approve.add_argument(
        "--report", required=True, metavar="DIGEST", help="digest of the report that you have read"
    )
    approve.add_argument(
        "--acknowledge",
        action="append",
        type=_acknowledged,
        default=[],
        metavar="DOUBT=REASON",
        help="why a strong doubt does not hold; give one for each",
    )
    add_note(approve)
    add_data(approve)
    approve.set_defaults(run=_approve)

    activate = verbs.add_parser(
        "activate", help="have an approved revision answer from now on", epilog=_IN_NAME_OF
    )
    activate.add_argument("revision", metavar="REVISION")
    activate.add_argument(
        "--expected",
        type=number,
        metavar="N",
        help="number of the activation that you have seen last; asked on a terminal if not given",
    )
    add_note(activate)
    add_data(activate)
    activate.set_defaults(run=_activate)

    rollback = verbs.add_parser(
        "rollback", help="go back to a revision that answered before", epilog=_IN_NAME_OF
    )
    rollback.add_argument(
        "revision", nargs="?", metavar="REVISION", help="the one before, unless given"
    )
    add_note(rollback)
    add_data(rollback)
    rollback.set_defaults(run=_rollback)

    withdraw = verbs.add_parser(
        "withdraw",
        help="have every answer that rests on rows of a revision, or on all of it, rejected",
        epilog=_IN_NAME_OF,
    )
    withdraw.add_argument("revision", metavar="REVISION")
    what = withdraw.add_mutually_exclusive_group(required=True)
    what.add_argument(
        "--row",
        action="append",
        default=[],
        metavar="REF",
        help="a row as answers name it, such as `targets/S/16/...`; give one for each",
    )
    what.add_argument("--whole", action="store_true", help="the whole revision")
    add_note(withdraw, "--reason")
    add_data(withdraw)
    withdraw.set_defaults(run=_withdraw)


def _acknowledged(text: str) -> str:
    doubt, mark, reason = text.partition("=")
    if not doubt or not mark:
        message = f"`{text}` is no acknowledgement: give DOUBT=REASON"
        raise argparse.ArgumentTypeError(message)
    note(reason)
    return text


def _approve(options: argparse.Namespace) -> int:
    from service.desk.steps import approve_revision
    from service.desk.telling import ended

    asked = options.revision, options.report, options.acknowledge, options.note
    return ended(approve_revision, options.data, *asked)


def _activate(options: argparse.Namespace) -> int:
    from service.desk.steps import activate_revision
    from service.desk.telling import ended

    asked = options.revision, options.note, options.expected
    return ended(activate_revision, options.data, *asked)


def _rollback(options: argparse.Namespace) -> int:
    from service.desk.steps import roll_back
    from service.desk.telling import ended

    return ended(roll_back, options.data, options.revision, options.note)


def _withdraw(options: argparse.Namespace) -> int:
    from service.desk.steps import withdraw_rows
    from service.desk.telling import ended

    asked = options.revision, options.row, options.reason
    return ended(withdraw_rows, options.data, *asked, whole=options.whole)
