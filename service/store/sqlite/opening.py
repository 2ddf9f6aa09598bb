"""A connection to the file, and the file brought to the schema of this version."""

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import Final

from service.store.sqlite.refusals import (
    BUSY_S,
    StoreError,
    damaged,
    integrity_faults,
    told,
    unwritable,
)
from service.store.sqlite.schema import APPLICATION_ID, MIGRATIONS

FILE: Final = "ringwright.sqlite"
_LOCK: Final = "ringwright.lock"
_LOCK_S: Final = 60.0
_SETTINGS: Final = (
    "PRAGMA foreign_keys = ON",
    "PRAGMA recursive_triggers = ON",
    "PRAGMA synchronous = FULL",
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
)


def connect(file: Path) -> sqlite3.Connection:
    """Connection with the settings that every one must have; it begins no transaction by itself.

    It may go from thread to thread; only one uses it at a time.
    """
    connection = sqlite3.connect(
        file, timeout=BUSY_S, isolation_level=None, check_same_thread=False
    )
    try:
        for setting in _SETTINGS:
            connection.execute(setting)
    except BaseException:
        connection.close()
        raise
    return connection


def prepared(folder: Path, migrations: Sequence[Sequence[str]] = MIGRATIONS) -> Path:
    """File of a folder, made or brought to the schema of this version where that is needed.

    Errors: `StoreError` where it cannot be used, is of a later version or not of this application.
    """
    file = folder / FILE
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise unwritable(folder, str(error)) from error
    with told(file), closing(connect(file)) as connection:
        if version_now(connection, file, len(migrations)) < len(migrations):
            _migrate(connection, file, migrations)
        connection.execute("PRAGMA journal_mode = WAL")
        if found := integrity_faults(connection, most=1):
            raise damaged(file, found[0])
    return file


def version_now(connection: sqlite3.Connection, file: Path, known: int) -> int:
    """Version of the schema, 0 for a new file; all that it rests on is read at one moment.

    Another process may be making the file: what it is and what it holds must not be read apart.
    Errors: `StoreError` where it is of a later version or not of this application.
    """
    connection.execute("BEGIN DEFERRED")
    try:
        return _version(connection, file, known)
    finally:
        connection.execute("ROLLBACK")


def _version(connection: sqlite3.Connection, file: Path, known: int) -> int:
    ((application,),) = connection.execute("PRAGMA application_id").fetchall()
    ((version,),) = connection.execute("PRAGMA user_version").fetchall()
    ((things,),) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchall()
    if (application, version, things) == (0, 0, 0):
        return 0
    if application != APPLICATION_ID:
        message = f"`{file}` is not a store of this service: name another folder"
        raise StoreError(message)
    if version > known:
        message = (
            f"`{file}` has version {version} of the schema, this service knows up to {known}:"
            " start the later version of the service that made it"
        )
        raise StoreError(message)
    return int(version)


def _migrate(
    connection: sqlite3.Connection, file: Path, migrations: Sequence[Sequence[str]]
) -> None:
    from filelock import FileLock, Timeout  # here: a store that is up to date needs none

    try:
        with FileLock(file.with_name(_LOCK), timeout=_LOCK_S):
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("BEGIN IMMEDIATE")
            try:
                # Another process may have been faster, so the version is read again.
                done = _version(connection, file, len(migrations))
                for statement in (each for step in migrations[done:] for each in step):
                    connection.execute(statement)
                connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                connection.execute(f"PRAGMA user_version = {len(migrations)}")
                connection.execute("COMMIT")
            except BaseException:
                if connection.in_transaction:
                    connection.execute("ROLLBACK")
                raise
    except Timeout as error:
        message = (
            f"another start has held `{file.with_name(_LOCK)}` for more than {_LOCK_S:g} s:"
            " end the process that hangs, then start again"
        )
        raise StoreError(message) from error
    except OSError as error:
        raise unwritable(file.with_name(_LOCK), str(error)) from error
