"""audit list, verify."""

import argparse

from service.command_line.kinds import Verbs, add_data, number, verbs_of


def add_audit(commands: Verbs) -> None:
    """Add the commands for the audit trail."""
    verbs = verbs_of(commands.add_parser("audit", help="read and verify the audit trail"))
    listing = verbs.add_parser("list", help="every step: who, when, what, why")
    listing.add_argument("--after", type=number, default=0, metavar="N", help="only later ones")
    listing.add_argument("--json", action="store_true", help="as JSON, with every hash")
    add_data(listing)
    listing.set_defaults(run=_list)
    verify = verbs.add_parser("verify", help="say everything that was changed behind our back")
    verify.add_argument(
        "--head",
        metavar="HASH",
        help="a hash that was kept elsewhere: shows that the end was cut off",
    )
    add_data(verify)
    verify.set_defaults(run=_verify)


def _list(options: argparse.Namespace) -> int:
    from service.desk.auditing import list_steps
    from service.desk.telling import ended

    return ended(list_steps, options.data, options.after, as_json=options.json)


def _verify(options: argparse.Namespace) -> int:
    from service.desk.auditing import verify
    from service.desk.telling import ended

    return ended(verify, options.data, options.head)
