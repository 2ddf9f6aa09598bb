"""The store as a command has it: of which folder, which revision is meant, in whose name."""

import getpass
import os
import re
import sys
import time
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from typing import Final

from catalog.seed import shipped_revision
from service.cli.telling import NOT_UNDERSTOOD, DeskError
from service.current import moment
from service.edge.access import caller_of, keyring_of
from service.edge.problems import ProblemError
from service.settings import KEY, settings_from
from service.store.records import Activation, Scope
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.sqlite.opening import FILE
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreError

if sys.platform != "win32":
    import pwd

CURRENT: Final = "current"
_PREFIX: Final = "sha256:"
_DIGITS: Final = re.compile(r"[0-9a-f]{8,64}")
_SHORT: Final = 12


def data_folder(given: Path | None) -> Path:
    """Folder that a command names, else the one of the settings.

    Errors: `DeskError` where neither names one.
    """
    folder = str(given or settings_from().data)
    if not folder:
        message = "no folder is named: give --data FOLDER, or set RINGWRIGHT_DATA"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    return Path(folder)


def holds_store(folder: Path) -> bool:
    """Whether a folder holds a store. Errors: `StoreError` where nobody may look."""
    try:
        return (folder / FILE).is_file()
    except OSError as error:
        message = f"`{folder}` cannot be read ({str(error.strerror).lower()}): ask for the right to"
        raise StoreError(message) from error


def opened(given: Path | None) -> closing[Store]:
    """Store that is there already: a folder that was mistyped makes no new one.

    Errors: `DeskError`, `StoreError`.
    """
    folder = data_folder(given)
    if not holds_store(folder):
        message = (
            f"`{folder}` holds no store: name the folder that `ringwright serve --data` keeps, "
            "or start it once"
        )
        raise DeskError(message, code=NOT_UNDERSTOOD)
    return closing(open_store(folder, seed=None, at=moment()))


def made(folder: Path) -> closing[Store]:
    """Store of a folder, begun with the shipped tables where there is none.

    Errors: `StoreError`.
    """
    return closing(open_store(folder, seed=shipped_revision, at=moment()))


def operator() -> str:
    """Whoever has the files of the machine, as records name them: `cli:` and their login."""
    if sys.platform == "win32":
        return f"cli:{getpass.getuser()}"
    # Not from the environment, in which anybody may write another name.
    try:
        return f"cli:{pwd.getpwuid(os.getuid()).pw_name}"
    except KeyError:  # a container runs as a number without a name
        return f"cli:{os.getuid()}"


def caller(store: Store, scope: Scope, environment: Mapping[str, str] = os.environ) -> str:
    """Name of the holder of the key, which must be good and have this scope.

    The key is read from the environment: options stand in the list of processes, for all to see.
    Errors: `DeskError`.
    """
    text = environment.get(KEY, "").strip()
    if not text:
        message = f"no key is given: this step is taken in your name, so put your key into {KEY}"
        raise DeskError(message)
    with store.reading() as records:
        keyring = keyring_of(records.keys(), records.revocations())
    try:
        who = caller_of(keyring, [b"Bearer " + os.fsencode(text)], time.time())
    except ProblemError as problem:
        message = f"{KEY}: {problem.detail}"
        raise DeskError(message) from problem
    if scope not in who.scopes:
        has = ", ".join(sorted(who.scopes)) or "none"
        message = (
            f"the key of `{who.name}` lacks the scope `{scope}` (it has {has}): ask for a key that "
            "has it"
        )
        raise DeskError(message)
    return who.name


def named(records: Records, text: str) -> str:
    """Id of the stored revision that a person means: `current`, an id, or its first hex digits.

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


def activation_text(activation: Activation) -> str:
    """Activation in one sentence."""
    return (
        f"activation {activation.n} holds: {short(activation.revision)} since {activation.at}, by "
        f"{activation.by}: {activation.note}"
    )


def short(revision: str) -> str:
    """Id as a table shows it; a command takes it as well.

    >>> short("sha256:0d6b7ddf2ff1559fdbbc39ef2b166a03a3319b27d2057ce245aaa4b7b6a79e30")
    '0d6b7ddf2ff1'
    """
    return revision.removeprefix(_PREFIX)[:_SHORT]
