"""The file of a store opened by hand, past the service and past its guards."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from service.store.sqlite.opening import FILE


@contextmanager
def raw(folder: Path) -> Iterator[sqlite3.Connection]:
    """Connection with the settings that any SQL tool has."""
    with closing(sqlite3.connect(folder / FILE, isolation_level=None)) as connection:
        yield connection


@contextmanager
def unguarded(folder: Path) -> Iterator[sqlite3.Connection]:
    """Connection without the triggers; they stand again afterwards, so that nothing shows."""
    with raw(folder) as connection:
        asked = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' ORDER BY rowid"
        triggers = connection.execute(asked).fetchall()
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        yield connection
        for _, statement in triggers:
            connection.execute(statement)


def tables(connection: sqlite3.Connection) -> list[str]:
    """Tables of the store."""
    asked = "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name"
    return [name for (name,) in connection.execute(asked)]
