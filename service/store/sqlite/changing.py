"""Appending blobs and records inside one change, each record with its audit entry."""

import sqlite3
from pathlib import Path
from typing import Any, TypeVar

import msgspec
from msgspec import structs

from catalog.revision import Revision, digest, manifest_bytes, table_bytes
from service.store.chain import FIRST_PREVIOUS, entry_of
from service.store.records import AnyRecord, Record
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreError, told
from service.store.sqlite.schema import JSON_COLUMNS

R = TypeVar("R", bound=AnyRecord)


class Change(Records):
    """Reading and appending, alone, in the transaction that `Store.changing` has begun."""

    def __init__(self, connection: sqlite3.Connection, file: Path) -> None:
        super().__init__(connection, file)
        # Here, and not above: it loads numpy, and a service that only answers changes nothing.
        import sqlite_utils

        self._tables = sqlite_utils.Database(connection)
        self._broken = False

    def whole(self) -> None:
        """Refuse to keep a change in which a step failed half way."""
        # INVARIANT: SQLite may end a transaction by itself (no room, for one). What came after
        # would each be kept on its own.
        if self._broken or not self._open().in_transaction:
            message = (
                f"a step of this change failed, so nothing of it was stored in `{self._file}`:"
                " repeat all of it"
            )
            raise StoreError(message)

    def add_tables(self, revision: Revision) -> None:
        """Keep the tables of a revision; those that are kept already are shared."""
        if self._rows("SELECT 1 FROM revisions WHERE id = ?", revision.id):
            return
        for name, rows in revision.tables.items():
            self._keep(table_bytes(rows), revision.manifest.tables[name], f"table `{name}`")
        self._keep(manifest_bytes(revision.manifest), revision.id, "the list of tables")
        self._insert("revisions", {"n": self._last("revisions") + 1, "id": revision.id})

    def add_report(self, content: bytes) -> str:
        """Keep the bytes of a report; their digest."""
        address = digest(content)
        self._keep(content, address, "the report")
        return address

    def add(self, record: R) -> R:
        """Append a record and its audit entry; the record.

        Errors: `ValueError` unless its number is the next of its kind (`next_number`), where it
        names a revision, report, approval or key that is not stored, and where that revision was
        proposed, or that key made, before.
        """
        kind = type(record)
        wanted = self.next_number(kind)
        if record.n != wanted:
            message = (
                f"{kind.noun} {record.n} is not the next, which is {wanted}:"
                " read again what holds, then decide again"
            )
            raise ValueError(message)
        values = structs.asdict(record)
        for column in JSON_COLUMNS & values.keys():
            values[column] = msgspec.json.encode(values[column]).decode()
        self._insert(kind.table, values)
        before = self._rows("SELECT n, hash FROM audit ORDER BY n DESC LIMIT 1")
        n, previous = before[0] if before else (0, FIRST_PREVIOUS)
        try:
            self._insert("audit", structs.asdict(entry_of(record, n=n + 1, previous=previous)))
        except BaseException:
            self._broken = True
            raise
        return record

    def next_number(self, kind: type[Record]) -> int:
        """Number that the next record of a kind must have."""
        return self._last(kind.table) + 1

    def _keep(self, content: bytes, address: str, what: str) -> None:
        if digest(content) != address:
            message = f"{what} does not have the digest `{address}`"
            raise ValueError(message)
        if self._rows("SELECT 1 FROM blobs WHERE digest = ?", address):
            self._blob(address, what)  # what is shared must be sound
            return
        values = {"n": self._last("blobs") + 1, "digest": address, "content": content}
        self._insert("blobs", values)

    def _insert(self, table: str, values: dict[str, Any]) -> None:
        self.whole()
        try:
            with told(self._file):
                self._tables.table(table).insert(values)
        except ValueError:
            raise  # refused by a constraint: nothing of this row was written
        except BaseException:
            self._broken = True
            raise
