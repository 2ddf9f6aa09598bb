"""Revisions as a person names them: `current`, the whole id, or its first hex digits."""

import re
from typing import Final

from service.desk.refused import NOT_UNDERSTOOD, DeskError
from service.store.records import Activation
from service.store.sqlite.reading import Records

CURRENT: Final = "current"
_PREFIX: Final = "sha256:"
_DIGITS: Final = re.compile(r"[0-9a-f]{8,64}")
_SHORT: Final = 12


def named(records: Records, text: str) -> str:
    """Id of the stored revision that a person means.

    Errors: `DeskError` where the text names none, or more than one.
    """
    if text == CURRENT:
        return active(records).revision
    digits = text.strip().lower().removeprefix(_PREFIX)
    if not _DIGITS.fullmatch(digits):
        message = f"`{text}` names no revision: give `current`, or 8 or more hex digits of its id"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    found = [each for each in records.revisions() if each.startswith(_PREFIX + digits)]
    if len(found) == 1:
        return found[0]
    if found:
        message = f"`{text}` may be any of these: give more digits"
        raise DeskError(message, *(f"  {each}" for each in found))
    message = f"no revision `{text}` is stored here: see `ringwright catalog revisions`"
    raise DeskError(message)


def active(records: Records) -> Activation:
    """Activation that holds. Errors: `DeskError` where there is none."""
    last = records.last_activation()
    if last is None:
        message = "no revision is active: start `ringwright serve --data` on this folder once"
        raise DeskError(message)
    return last


def short(revision: str) -> str:
    """Id as a table shows it; a command takes it as well.

    >>> short("sha256:0d6b7ddf2ff1559fdbbc39ef2b166a03a3319b27d2057ce245aaa4b7b6a79e30")
    '0d6b7ddf2ff1'
    """
    return revision.removeprefix(_PREFIX)[:_SHORT]
