"""The store in one SQLite file: connections, moments, and one change at a time."""

import sqlite3
import time
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

from service.store.sqlite.changing import Change
from service.store.sqlite.opening import connect
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreError, told
from service.store.sqlite.watching import BesideError, Files


class Store:
    """A store in a file that `prepared` has made; safe in several processes and threads.

    Every block has a connection to itself, also where two coroutines of one thread overlap.
    Errors: `StoreError` of every verb where the file cannot be used; nothing is then half done.
    """

    def __init__(self, file: Path) -> None:
        self._file = file
        self._idle: deque[sqlite3.Connection] = deque()
        self._closed = False
        self._lost = ""
        self._watching = Lock()
        self._own = 0
        """Changes whenever this process has committed."""
        self._asked = (-1, 0.0, 0)
        """What `_own` was when the version was asked for last, the moment, and the version."""
        with told(file):
            self._watch = connect(file)
        try:
            with told(file):
                # With this the log and the index lie beside the file, and stay while it is open.
                self._watch.execute("PRAGMA data_version").fetchall()
            self._files = Files(file)
            self._files.refuse_others()
        except BaseException:
            self._watch.close()
            raise

    @contextmanager
    def reading(self, *, checked: bool = True) -> Iterator[Records]:
        """One moment of the store, for as long as the block lasts."""
        with self._lent() as connection:
            with told(self._file):
                connection.execute("BEGIN DEFERRED")
                connection.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchall()
            records = Records(connection, self._file, checked=checked)
            try:
                yield records
            finally:
                records.end()

    @contextmanager
    def changing(self) -> Iterator[Change]:
        """One change, alone: all of it is kept when the block ends, nothing where it raises."""
        with self._lent() as connection:
            # Made before the lock is taken: the first one loads a library.
            change = Change(connection, self._file)
            with told(self._file):
                connection.execute("BEGIN IMMEDIATE")
            try:
                yield change
                change.whole()
                self._refuse_other_files()
                with told(self._file):
                    connection.execute("COMMIT")
                self._own += 1
                # INVARIANT: what was written to a log that has lost its name is not acknowledged.
                self._refuse_other_files()
            finally:
                change.end()

    def version(self, within_s: float = 0.0) -> int:
        """A number that differs when anything was committed since; cheap enough to ask often.

        What other processes have committed within so many seconds may not show in it yet.
        """
        own, now_s = self._own, time.monotonic()
        asked_own, asked_s, number = self._asked
        if asked_own == own and now_s - asked_s < within_s:
            return number
        # A connection does not see its own commits in this number, so this one never commits: then
        # every commit of any thread or process shows, and any thread may compare.
        self._refuse_unusable()
        with self._watching, told(self._file):
            if self._closed:
                raise self._gone()
            ((found,),) = self._watch.execute("PRAGMA data_version").fetchall()
        number = int(found)
        self._asked = own, now_s, number
        return number

    def close(self) -> None:
        """Let go of files and connections of every thread; blocks that run end theirs."""
        with self._watching:
            self._closed = True
            self._files.leave_to_others()
            self._watch.close()
        while self._idle:
            self._idle.pop().close()

    def _refuse_unusable(self) -> None:
        if self._closed:
            raise self._gone()
        self._refuse_other_files()

    def _refuse_other_files(self) -> None:
        """Raise where a file of the store is gone or another; of one beside it, from then on.

        Nothing of this process may then get in the way of one that starts anew, so it lets go.
        """
        if self._lost:
            raise self._gone()
        try:
            self._files.refuse_others()
        except BesideError as error:
            self._lost = str(error)
            self.close()
            raise

    @contextmanager
    def _lent(self) -> Iterator[sqlite3.Connection]:
        """A connection without a transaction; what is left of one is rolled back at the end."""
        self._refuse_unusable()
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
            self._files.leave_to_others()
            connection.close()  # closing rolls back too
            return
        self._idle.append(connection)
        if self._closed:  # while the block ran
            self.close()

    def _gone(self) -> StoreError:
        return StoreError(self._lost or f"`{self._file}` was closed: open it again")
