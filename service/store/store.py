"""What the service asks of a store: few verbs, so that another database can stand behind them."""

from contextlib import AbstractContextManager
from typing import Protocol

from catalog.revision import Revision
from catalog.rows import AnyRow
from service.store.records import (
    Activation,
    AnyRecord,
    Approval,
    AuditEntry,
    Key,
    KeyRevocation,
    Proposal,
    Report,
    Withdrawal,
)


class StoreError(Exception):
    """A store that cannot be used: unreadable, unwritable, full, locked for too long."""


class StoreDamagedError(StoreError):
    """Stored bytes that are not what was stored; the message names them."""


class Records(Protocol):
    """Reading, all of it from one moment; lists are in the order in which they were written.

    Errors: `StoreDamagedError` of every verb where a record is not the one that was written.
    """

    def faults(self) -> tuple[str, ...]:
        """What is wrong with the place itself, below the records: its pages, tables, guards."""

    def revisions(self) -> tuple[str, ...]:
        """Id of every revision whose tables are stored."""

    def revision(self, revision: str) -> Revision | None:
        """Tables of a revision, None where it was never stored.

        Errors: `StoreDamagedError` where a blob is missing or its digest differs.
        """

    def older_row(self, revision: str, table: str, digest: str) -> AnyRow | None:
        """Row that was stored in an older format, by the digest of its bytes as they were stored.

        None without one, and where the revision is of today's format. Errors: `StoreDamagedError`
        as of `revision`.
        """

    def report(self, digest: str) -> bytes:
        """Bytes of a report. Errors: `StoreDamagedError`, `KeyError` where it was never stored."""

    def proposal(self, revision: str) -> Proposal | None:
        """How a revision came in."""

    def proposals(self) -> tuple[Proposal, ...]:
        """Every revision that came in."""

    def reports(self, revision: str | None = None) -> tuple[Report, ...]:
        """Reports on a revision, or all of them."""

    def approvals(self, revision: str | None = None) -> tuple[Approval, ...]:
        """Approvals of a revision, or all of them."""

    def activations(self, after: int = 0, limit: int | None = None) -> tuple[Activation, ...]:
        """Activations with a higher number than `after`."""

    def last_activation(self) -> Activation | None:
        """The activation that holds."""

    def withdrawals(self) -> tuple[Withdrawal, ...]:
        """Every withdrawal."""

    def keys(self) -> tuple[Key, ...]:
        """Every key that was ever made."""

    def revocations(self) -> tuple[KeyRevocation, ...]:
        """Every revocation."""

    def audit(self, after: int = 0, limit: int | None = None) -> tuple[AuditEntry, ...]:
        """Steps with a higher number than `after`."""


class Change(Records, Protocol):
    """Reading and appending, with no other change at the same time."""

    def add_tables(self, revision: Revision) -> None:
        """Keep the tables of a revision; those that are kept already are shared."""

    def add_report(self, content: bytes) -> str:
        """Keep the bytes of a report; their digest."""

    def add(self, record: AnyRecord) -> None:
        """Append a record and its audit entry.

        Errors: `ValueError` unless its number is the next of its kind (`next_number`), where it
        names a revision, report, approval or key that is not stored, and where that revision was
        proposed, or that key made, before.
        """

    def next_number(self, kind: type[AnyRecord]) -> int:
        """Number that the next record of a kind must have."""


class Store(Protocol):
    """A place that keeps revisions and what was done to them; safe in several processes.

    Errors: `StoreError` of every verb where the place cannot be used; nothing is then half done.
    """

    def reading(self, *, checked: bool = True) -> AbstractContextManager[Records]:
        """One moment of the store, for as long as the block lasts.

        Each record is held against its audit entry unless `checked` is False: for finding all that
        is wrong in a store that refuses to be read.
        """

    def changing(self) -> AbstractContextManager[Change]:
        """One change, alone: all of it is kept when the block ends, nothing where it raises."""

    def version(self, within_s: float = 0.0) -> int:
        """A number that differs when anything was committed since; cheap enough to ask often.

        What other processes have committed within so many seconds may not show in it yet.
        """

    def close(self) -> None:
        """Let go of files and connections of every thread."""
