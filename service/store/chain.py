"""The audit chain: the entry that a record gets, and the hashes that tie it to the one before."""

from typing import Final

import msgspec
import rfc8785
from msgspec import structs

from catalog.revision import digest
from service.store.records import (
    AnyRecord,
    AuditEntry,
    Key,
    KeyRevocation,
    Record,
    Report,
    Withdrawal,
)

FIRST_PREVIOUS: Final = "sha256:" + 64 * "0"
"""What the first entry names as the hash before it."""


def record_digest(record: Record) -> str:
    """Content address of a record: the sha256 of its canonical JSON."""
    return digest(rfc8785.dumps(msgspec.to_builtins(record)))


def entry_hash(entry: AuditEntry) -> str:
    """Hash of an entry: the sha256 of the canonical JSON of every other field."""
    fields = structs.asdict(entry)
    del fields["hash"]
    return digest(rfc8785.dumps(fields))


def entry_of(record: AnyRecord, *, n: int, previous: str) -> AuditEntry:
    """Entry that a record gets as the n-th of the chain, after the one with hash `previous`."""
    entry = AuditEntry(
        n=n,
        at=record.at,
        by=record.by,
        action=record.action,
        subject=_subject(record),
        note=_note(record),
        record=record_digest(record),
        previous=previous,
        hash="",
    )
    return structs.replace(entry, hash=entry_hash(entry))


def _subject(record: AnyRecord) -> str:
    if isinstance(record, Key):
        return record.id
    return record.key if isinstance(record, KeyRevocation) else record.revision


def _note(record: AnyRecord) -> str:
    if isinstance(record, Key):
        return f"{record.name}: {', '.join(record.scopes)}"
    if isinstance(record, Report):
        return ""
    return record.reason if isinstance(record, Withdrawal | KeyRevocation) else record.note
