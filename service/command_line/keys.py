"""key make, list, revoke, rotate."""

import argparse
from typing import get_args

from service.command_line.kinds import Verbs, add_data, add_note, days, verbs_of
from service.store.records import Scope


def add_keys(commands: Verbs) -> None:
    """Add the commands for API keys."""
    verbs = verbs_of(commands.add_parser("key", help="make, list, revoke and rotate API keys"))
    make = verbs.add_parser("make", help="make a key and show it, this once")
    make.add_argument("name", metavar="NAME", help="the person or system who gets it")
    make.add_argument(
        "--scope",
        action="append",
        required=True,
        choices=get_args(Scope),
        help="what it may do; give one for each, none includes another",
    )
    make.add_argument("--days", type=days, metavar="N", help="days that it lives, else for good")
    add_data(make)
    make.set_defaults(run=_make)
    listing = verbs.add_parser("list", help="every key, and whether it is good")
    add_data(listing)
    listing.set_defaults(run=_list)
    revoke = verbs.add_parser("revoke", help="make a key open nothing any more")
    revoke.add_argument("key", metavar="ID", help="what stands between `rw_` and the next `_`")
    add_note(revoke, "--reason")
    add_data(revoke)
    revoke.set_defaults(run=_revoke)
    rotate = verbs.add_parser("rotate", help="a new key in the place of another, in one step")
    rotate.add_argument("key", metavar="ID", help="the key that ends")
    rotate.add_argument(
        "--days", type=days, metavar="N", help="days that it lives, else as long as the old one"
    )
    add_data(rotate)
    rotate.set_defaults(run=_rotate)


def _make(options: argparse.Namespace) -> int:
    from service.desk.keys import make
    from service.desk.telling import ended

    return ended(make, options.data, options.name, options.scope, options.days)


def _list(options: argparse.Namespace) -> int:
    from service.desk.keys import list_keys
    from service.desk.telling import ended

    return ended(list_keys, options.data)


def _revoke(options: argparse.Namespace) -> int:
    from service.desk.keys import revoke
    from service.desk.telling import ended

    return ended(revoke, options.data, options.key, options.reason)


def _rotate(options: argparse.Namespace) -> int:
    from service.desk.keys import rotate
    from service.desk.telling import ended

    return ended(rotate, options.data, options.key, options.days)
