"""What SQLite says, told as what happened, where, and what to do."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final


class StoreError(Exception):
    """A store that cannot be used: unreadable, unwritable, full, locked for too long."""


class StoreDamagedError(StoreError):
    """Stored bytes that are not what was stored; the message names them."""


BUSY_S: Final = 15.0
"""How long a step waits for another one to end."""

_DAMAGED: Final = {
    sqlite3.SQLITE_CORRUPT,
    sqlite3.SQLITE_NOTADB,
    sqlite3.SQLITE_FORMAT,
    sqlite3.SQLITE_TOOBIG,  # a length that no stored value has
}
_UNWRITABLE: Final = {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM}
_NO_ROOM: Final = {sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_SHMSIZE}


@contextmanager
def told(file: Path) -> Iterator[None]:
    """Errors of SQLite as `StoreError`, those of a broken constraint as `ValueError`."""
    try:
        yield
    except sqlite3.IntegrityError as error:
        message = f"the store takes no such record: {error}"
        raise ValueError(message) from error
    except sqlite3.Error as error:
        raise refusal(file, error) from error
    except UnicodeDecodeError as error:  # of a damaged name in SQLite's own message
        raise damaged(file, "text in it is not UTF-8") from error


def refusal(file: Path, error: sqlite3.Error) -> StoreError:
    """What an error of SQLite means for a file and for those who use it."""
    extended = getattr(error, "sqlite_errorcode", None)
    code = None if extended is None else extended & 0xFF
    if code in _DAMAGED or (code is None and isinstance(error, sqlite3.OperationalError)):
        return damaged(file, str(error))
    if code in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        return StoreError(
            f"`{file}` was busy for more than {BUSY_S:g} s, nothing was stored:"
            " repeat the step, and end the process that hangs on to the file if it stays so"
        )
    if {code, extended} & _NO_ROOM:
        return StoreError(
            f"no room left for `{file}` ({error}), nothing was stored:"
            " make room on the disk, then repeat the step"
        )
    if code in _UNWRITABLE:
        return unwritable(file, str(error))
    if code == sqlite3.SQLITE_CANTOPEN:
        return StoreError(
            f"`{file}` cannot be opened ({error}): see that the folder is there, that this user"
            " may write in it, and that the disk has room"
        )
    return StoreError(
        f"`{file}` cannot be used ({error}), nothing was stored:"
        " see to the disk and the room on it, then repeat the step"
    )


def integrity_faults(connection: sqlite3.Connection, most: int = 100) -> list[str]:
    """What SQLite finds wrong in the pages of a file, a line each."""
    found = [text for (text,) in connection.execute(f"PRAGMA integrity_check({most})")]
    plain = (" ".join(text.replace("*** in database main ***", "").split()) for text in found)
    return [text for text in plain if text != "ok"]


def damaged(file: Path, what: str) -> StoreDamagedError:
    """Refusal of a file whose bytes are not what was stored."""
    return StoreDamagedError(
        f"`{file}` is damaged, {what}: stop the service, keep a copy of the folder, and put back"
        " a sound one"
    )


def unwritable(file: Path, what: str) -> StoreError:
    """Refusal of a file or folder that this user may not write."""
    return StoreError(
        f"`{file}` cannot be written ({what}), nothing was stored: let this user write the file and"
        " its folder, then repeat the step"
    )
