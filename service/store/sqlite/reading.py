"""Reading the records and blobs of one moment; what is read is held against its digest."""

import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final, TypeVar

import msgspec

from catalog.revision import FORMAT, Manifest, Revision, RevisionFormatError, table_rows, tables_of
from catalog.revision import digest as digest_of
from catalog.rows import AnyRow
from service.store.chain import entry_hash, record_digest
from service.store.records import (
    Activation,
    Approval,
    AuditEntry,
    Key,
    KeyRevocation,
    Proposal,
    Record,
    Report,
    Withdrawal,
)
from service.store.sqlite.refusals import StoreError, damaged, integrity_faults, told
from service.store.sqlite.schema import JSON_COLUMNS, MIGRATIONS

R = TypeVar("R", bound=Record)
S = TypeVar("S", bound=Record | AuditEntry)

_SCHEMA: Final = "SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL"


class Records:
    """Reading, all of it from one moment; lists are in the order in which they were written.

    With `checked` each record must be the one that its audit entry names; without, all that is
    wrong is found in a store that refuses to be read. Errors: `StoreDamagedError` of every verb
    where a record is not the one that was written, or a blob is missing or its digest differs.
    """

    def __init__(self, connection: sqlite3.Connection, file: Path, *, checked: bool = True) -> None:
        self._connection: sqlite3.Connection | None = connection
        self._file = file
        self._checked = checked

    def end(self) -> None:
        """Let go of the connection: the moment is over."""
        self._connection = None

    def faults(self) -> tuple[str, ...]:
        """What is wrong with the file itself: its pages, and tables or triggers that differ."""
        with told(self._file):
            pages = integrity_faults(self._open())
        asked = sqlite3.connect(":memory:")
        try:
            for statement in (each for step in MIGRATIONS for each in step):
                asked.execute(statement)
            wanted = set(asked.execute(_SCHEMA))
        finally:
            asked.close()
        differing = {(kind, name) for kind, name, _ in wanted ^ set(self._rows(_SCHEMA))}
        return (
            *(f"`{self._file}` is damaged: {text}" for text in pages),
            *(f"the {kind} `{name}` is not as it was made" for kind, name in sorted(differing)),
        )

    def revisions(self) -> tuple[str, ...]:
        """Id of every revision whose tables are stored."""
        return tuple(each for (each,) in self._rows("SELECT id FROM revisions ORDER BY n"))

    def revision(self, revision: str) -> Revision | None:
        """Tables of a revision, None where it was never stored."""
        if not self._rows("SELECT 1 FROM revisions WHERE id = ?", revision):
            return None
        try:
            manifest = self._manifest(revision)
            contents = {
                name: self._blob(address, f"table `{name}` of revision `{revision}`")
                for name, address in manifest.tables.items()
            }
            tables = tables_of(contents, manifest.format)
        except (msgspec.MsgspecError, RevisionFormatError) as error:
            raise self._foreign(revision, str(error)) from error
        return Revision(id=revision, manifest=manifest, tables=tables)

    def older_row(self, revision: str, table: str, digest: str) -> AnyRow | None:
        """Row that was stored in an older format, by the digest of its bytes as they were stored.

        None without one, and where the revision is of today's format.
        """
        try:
            manifest = self._manifest(revision)
            if manifest.format >= FORMAT or table not in manifest.tables:
                return None
            stored = self._blob(manifest.tables[table], f"table `{table}` of revision `{revision}`")
            for line in stored.splitlines():
                if digest_of(line) == digest:
                    return table_rows(table, line, manifest.format)[0]
        except (msgspec.MsgspecError, RevisionFormatError) as error:
            raise self._foreign(revision, str(error)) from error
        return None

    def _manifest(self, revision: str) -> Manifest:
        content = self._blob(revision, f"the list of tables of revision `{revision}`")
        return msgspec.json.decode(content, type=Manifest)

    def report(self, digest: str) -> bytes:
        """Bytes of a report. Errors: `KeyError` where it was never stored."""
        if not self._rows("SELECT 1 FROM blobs WHERE digest = ?", digest) and not self._rows(
            "SELECT 1 FROM reports WHERE digest = ?", digest
        ):
            raise KeyError(digest)
        return self._blob(digest, "a report")

    def proposal(self, revision: str) -> Proposal | None:
        """How a revision came in."""
        return next(iter(self._of(Proposal, revision)), None)

    def proposals(self) -> tuple[Proposal, ...]:
        """Every revision that came in."""
        return self._all(Proposal)

    def reports(self, revision: str | None = None) -> tuple[Report, ...]:
        """Reports on a revision, or all of them."""
        return self._all(Report) if revision is None else self._of(Report, revision)

    def approvals(self, revision: str | None = None) -> tuple[Approval, ...]:
        """Approvals of a revision, or all of them."""
        return self._all(Approval) if revision is None else self._of(Approval, revision)

    def activations(self, after: int = 0, limit: int | None = None) -> tuple[Activation, ...]:
        """Activations with a higher number than `after`."""
        return self._all(Activation, after, limit)

    def last_activation(self) -> Activation | None:
        """The activation that holds."""
        # Everything after the last but one: an activation too few would show in the audit trail.
        return next(iter(self._all(Activation, max(self._last("activations") - 1, 0))), None)

    def withdrawals(self) -> tuple[Withdrawal, ...]:
        """Every withdrawal."""
        return self._all(Withdrawal)

    def keys(self) -> tuple[Key, ...]:
        """Every key that was ever made."""
        return self._all(Key)

    def revocations(self) -> tuple[KeyRevocation, ...]:
        """Every revocation."""
        return self._all(KeyRevocation)

    def audit(self, after: int = 0, limit: int | None = None) -> tuple[AuditEntry, ...]:
        """Steps with a higher number than `after`."""
        where = "WHERE n > ? ORDER BY n LIMIT ?"
        found = self._read(AuditEntry, "audit", "audit entry", where, after, _limit(limit))
        if self._checked:
            for wanted, entry in enumerate(found, start=after + 1):
                if entry.n != wanted or entry.hash != entry_hash(entry):
                    what = f"audit entry {wanted} is missing or is not what was written"
                    raise damaged(self._file, what)
        return found

    def _all(self, kind: type[R], after: int = 0, limit: int | None = None) -> tuple[R, ...]:
        where = "WHERE n > ? ORDER BY n LIMIT ?"
        found = self._kept(kind, where, after, _limit(limit))
        if self._checked:
            self._complete(kind, found, after, limit)
        return found

    def _of(self, kind: type[R], revision: str) -> tuple[R, ...]:
        return self._kept(kind, "WHERE revision = ? ORDER BY n", revision)

    def _kept(self, kind: type[R], where: str, *values: Any) -> tuple[R, ...]:
        found = self._read(kind, kind.table, kind.noun, where, *values)
        if self._checked:
            asked = "SELECT 1 FROM audit WHERE action = ? AND record = ?"
            for record in found:
                if not self._rows(asked, kind.action, record_digest(record)):
                    what = f"{kind.noun} {record.n} is not what its audit entry names"
                    raise damaged(self._file, what)
        return found

    def _complete(self, kind: type[R], found: Sequence[R], after: int, limit: int | None) -> None:
        """Refuse a list with a gap, or with less in it than the audit trail tells of."""
        ((told_of,),) = self._rows("SELECT count(*) FROM audit WHERE action = ?", kind.action)
        wanted = max(told_of - after, 0)
        wanted = wanted if limit is None else min(wanted, limit)
        if [each.n for each in found] != list(range(after + 1, after + 1 + wanted)):
            what = f"a {kind.noun} of which the audit trail tells is missing, or one too many"
            raise damaged(self._file, what)

    def _read(
        self, kind: type[S], table: str, name: str, where: str, *values: Any
    ) -> tuple[S, ...]:
        columns = kind.__struct_fields__
        names = ", ".join(f'"{column}"' for column in columns)
        rows = self._rows(f"SELECT {names} FROM {table} {where}", *values)  # noqa: S608
        return tuple(self._record(kind, name, dict(zip(columns, row, strict=True))) for row in rows)

    def _record(self, kind: type[S], name: str, values: dict[str, Any]) -> S:
        try:
            for column in JSON_COLUMNS & values.keys():
                values[column] = msgspec.json.decode(values[column])
            return msgspec.convert(values, kind)
        except msgspec.MsgspecError as error:
            what = f"{name} {values['n']} cannot be read ({error})"
            raise damaged(self._file, what) from error

    def _blob(self, address: str, what: str) -> bytes:
        rows = self._rows("SELECT content FROM blobs WHERE digest = ?", address)
        if not rows:
            raise damaged(self._file, f"{what} (`{address}`) is missing")
        content = bytes(rows[0][0])
        if digest_of(content) != address:
            raise damaged(self._file, f"{what} (`{address}`) is not what was stored")
        return content

    def _foreign(self, revision: str, why: str) -> StoreError:
        return StoreError(
            f"revision `{revision}` in `{self._file}` is of a form that is not known here ({why}):"
            " use the version of the service that stored it"
        )

    def _last(self, table: str) -> int:
        ((last,),) = self._rows(f"SELECT coalesce(max(n), 0) FROM {table}")  # noqa: S608
        return int(last)

    def _rows(self, asked: str, *values: Any) -> list[tuple[Any, ...]]:
        with told(self._file):
            return self._open().execute(asked, values).fetchall()

    def _open(self) -> sqlite3.Connection:
        if self._connection is None:
            message = "records are read after their block has ended"
            raise RuntimeError(message)
        return self._connection


def _limit(limit: int | None) -> int:
    return -1 if limit is None else limit
