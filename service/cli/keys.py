"""key make, list, revoke, rotate: by whoever has the files of the machine."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final, get_args

from service.cli.opening import data_folder, holds_store, made, opened, operator
from service.cli.options import Verbs, add_data, add_note, add_verb, days
from service.cli.telling import NOT_UNDERSTOOD, DeskError, Paper
from service.current import days_after, moment, read_moment
from service.office.keys import MadeKey, make_key, revoke_key, rotate_key
from service.store.records import Key, KeyRevocation, Scope
from service.store.sqlite import SEEDED_BY

OURS: Final = ("cli:", SEEDED_BY, "anybody")
"""Beginnings of names that records use for somebody without a key."""
_NAME_LETTERS: Final = 80


def add_verbs(verbs: Verbs) -> None:
    """Add the commands for API keys."""
    making = add_verb(verbs, "make", make, help="make a key and show it, this once")
    making.add_argument("name", metavar="NAME", help="the person or system who gets it")
    making.add_argument(
        "--scope",
        action="append",
        required=True,
        choices=get_args(Scope),
        help="what it may do; give one for each, none includes another",
    )
    about = "days that it lives, else for good"
    making.add_argument("--days", type=days, metavar="N", help=about)
    listing = add_verb(verbs, "list", list_keys, help="every key, and whether it is good")
    revoking = add_verb(verbs, "revoke", revoke, help="make a key open nothing any more")
    revoking.add_argument("key", metavar="ID", help="what stands between `rw_` and the next `_`")
    add_note(revoking, "--reason")
    about = "a new key in the place of another, in one step"
    rotating = add_verb(verbs, "rotate", rotate, help=about)
    rotating.add_argument("key", metavar="ID", help="the key that ends")
    about = "days that it lives, else as long as the old one"
    rotating.add_argument("--days", type=days, metavar="N", help=about)
    for parser in (making, listing, revoking, rotating):
        add_data(parser)


def make(data: Path | None, name: str, scope: Sequence[Scope], days: int | None) -> int:
    """Make a key and tell it, this once."""
    _refuse_name(name)
    place = data_folder(data)
    new = not holds_store(place)
    at, scopes = moment(), tuple(dict.fromkeys(scope))
    with made(place) as store:
        key = make_key(store, name, scopes, expires_at=_expiry(at, days), by=operator(), at=at)
    if new:
        Paper().print(f"`{place}` is a new store: it begins with the shipped, invented tables")
    return _tell(key)


def list_keys(data: Path | None) -> int:
    """Tell every key that was ever made, and whether it is good."""
    with opened(data) as store, store.reading() as records:
        keys, revoked = records.keys(), {each.key: each for each in records.revocations()}
    paper = Paper()
    if not keys:
        paper.print("no key was made yet: make one with `ringwright key make`")
        return 0
    now = moment()
    lines = [
        (key.id, key.name, ", ".join(key.scopes), key.at[:10], _state(key, revoked, now))
        for key in keys
    ]
    paper.table(("id", "name", "scopes", "made", "state"), lines)
    return 0


def revoke(data: Path | None, key: str, reason: str) -> int:
    """Make a key open nothing any more."""
    with opened(data) as store:
        revoke_key(store, key, reason=reason, by=operator(), at=moment())
    Paper().print(f"key `{key}` opens nothing from now on")
    return 0


def rotate(data: Path | None, key: str, days: int | None) -> int:
    """Put a new key in the place of another; it lives as long as that one was to, unless told."""
    with opened(data) as store:
        with store.reading() as records:
            keys = records.keys()
        old = next((each for each in keys if each.id == key), None)
        if days is None and old is not None and old.expires_at is not None:
            days = max(1, (read_moment(old.expires_at) - read_moment(old.at)).days)
        at = moment()
        new = rotate_key(store, key, expires_at=_expiry(at, days), by=operator(), at=at)
    Paper().print(f"key `{key}` opens nothing from now on")
    return _tell(new)


def _tell(made_key: MadeKey) -> int:
    key, paper = made_key.key, Paper()
    until = "" if key.expires_at is None else f", good until {key.expires_at}"
    paper.print(f"key `{key.id}` of `{key.name}`: {', '.join(key.scopes)}{until}")
    paper.print("it is shown this once and kept nowhere: hand it over now")
    # Bare and last, so that a script may take the last line.
    sys.stdout.write(f"{made_key.text}\n")
    return 0


def _state(key: Key, revoked: dict[str, KeyRevocation], now: str) -> str:
    if key.id in revoked:
        return f"revoked {revoked[key.id].at[:10]}: {revoked[key.id].reason}"
    if key.expires_at is None:
        return "good"
    return f"{'expired' if key.expires_at <= now else 'good until'} {key.expires_at}"


def _expiry(at: str, days: int | None) -> str | None:
    """When a key made at a moment expires; counted from that moment, so that no second is lost."""
    return None if days is None else days_after(at, days)


def _refuse_name(name: str) -> None:
    if not 1 <= len(name) <= _NAME_LETTERS or not name.isprintable() or name != name.strip():
        message = (
            f"`{name[:_NAME_LETTERS]}` is no name: give 1 to {_NAME_LETTERS} letters that can be "
            "seen, without a space at either end"
        )
        raise DeskError(message, code=NOT_UNDERSTOOD)
    if name.lower().startswith(OURS):
        message = (
            f"`{name}` could be taken for somebody without a key: give the name of the person or "
            "the system"
        )
        raise DeskError(message, code=NOT_UNDERSTOOD)
