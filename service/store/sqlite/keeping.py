"""The store in one SQLite file: connections, moments, and one change at a time."""

import sqlite3
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

from service.store.sqlite.changing import SqliteChange
from service.store.sqlite.opening import connect
from service.store.sqlite.reading import SqliteRecords
from service.store.sqlite.refusals import told
from service.store.store import StoreError


class SqliteStore:
    """A store in a file that `prepared` has made; any thread may use it.

    Every block has a connection to itself, also where two coroutines of one thread overlap.
    """

    def __init__(self, file: Path) -> None:
        self._file = file
        self._idle: deque[sqlite3.Connection] = deque()
        self._closed = False
        self._watching = Lock()
        with told(file):
            self._watch = connect(file)
            opened = file.stat()
        self._identity = opened.st_dev, opened.st_ino

    @contextmanager
    def reading(self, *, checked: bool = True) -> Iterator[SqliteRecords]:
        """One moment of the store, for as long as the block lasts."""
        with self._lent() as connection:
            with told(self._file):
                connection.execute("BEGIN DEFERRED")
                connection.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchall()
            records = SqliteRecords(connection, self._file, checked=checked)
            try:
                yield records
            finally:
                records.end()

    @contextmanager
    def changing(self) -> Iterator[SqliteChange]:
        """One change, alone: all of it is kept when the block ends, nothing where it raises."""
        with self._lent() as connection:
            with told(self._file):
                connection.execute("BEGIN IMMEDIATE")
            change = SqliteChange(connection, self._file)
            try:
                yield change
                change.whole()
                with told(self._file):
                    connection.execute("COMMIT")
            finally:
                change.end()

    def version(self) -> int:
        """A number that differs when anything was committed since; cheap enough to ask often."""
        # A connection does not see its own commits in this number, so this one never commits: then
        # every commit of any thread or process shows, and any thread may compare.
        self._refuse_other_file()
        with self._watching, told(self._file):
            if self._closed:
                raise self._gone()
            ((number,),) = self._watch.execute("PRAGMA data_version").fetchall()
        return int(number)

    def close(self) -> None:
        """Let go of files and connections of every thread; blocks that run end theirs."""
        with self._watching:
            self._closed = True
            self._watch.close()
        while self._idle:
            self._idle.pop().close()

    def _refuse_other_file(self) -> None:
        """Raise where the file is gone, or another one bears its name.

        An open file lives on without a name: what is written to it would be lost, and what another
        process writes under the name would not be seen.
        """
        try:
            found = self._file.stat()
        except OSError as error:
            message = f"`{self._file}` is gone: put the folder back, then start the service anew"
            raise StoreError(message) from error
        if (found.st_dev, found.st_ino) != self._identity:
            message = f"`{self._file}` is another file than was opened: start the service anew"
            raise StoreError(message)

    @contextmanager
    def _lent(self) -> Iterator[sqlite3.Connection]:
        """A connection without a transaction; what is left of one is rolled back at the end."""
        if self._closed:
            raise self._gone()
        self._refuse_other_file()
        connection = self._taken()
        try:
            yield connection
        finally:
            self._give_back(connection)

    def _taken(self) -> sqlite3.Connection:
        try:
            return self._idle.pop()
        except IndexError:
            with told(self._file):
                return connect(self._file)

    def _give_back(self, connection: sqlite3.Connection) -> None:
        try:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
        except sqlite3.Error:
            connection.close()  # closing rolls back too
            return
        self._idle.append(connection)
        if self._closed:  # while the block ran
            self.close()

    def _gone(self) -> StoreError:
        return StoreError(f"`{self._file}` was closed: open it again")
