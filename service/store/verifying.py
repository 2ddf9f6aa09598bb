"""Everything that is wrong in a store: pages, blobs, the audit chain, and steps that may not be."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

from catalog.revision import digest
from service.store.chain import (
    FIRST_PREVIOUS,
    entry_hash,
    entry_of,
    record_digest,
)
from service.store.records import Action, AnyRecord, AuditEntry, Record
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreError
from service.store.steps import History, step_faults

T = TypeVar("T")


def verified(records: Records, head: str | None = None) -> tuple[str, ...]:
    """Everything that is wrong in a store, told in one line each; nothing where all is right.

    Read with `checked=False`, else the first record that differs hides those of its kind. Steps cut
    off at the end leave a chain without a fault: `head` is a hash that was written down elsewhere,
    and must be that of an entry.
    """
    faults: list[str] = []

    def of(read: Callable[[], tuple[T, ...]]) -> tuple[T, ...]:
        try:
            return read()
        except StoreError as error:
            faults.append(str(error))
            return ()

    faults += of(records.faults)
    entries = of(records.audit)
    history = History(
        revisions=of(records.revisions),
        proposals=of(records.proposals),
        reports=of(records.reports),
        approvals=of(records.approvals),
        activations=of(records.activations),
        withdrawals=of(records.withdrawals),
        keys=of(records.keys),
        revocations=of(records.revocations),
    )
    faults += _chain_faults(entries)
    if head is not None and head not in {entry.hash for entry in entries}:
        faults.append(f"no audit entry has the hash `{head}`: steps were cut off, or changed")
    faults += _record_faults(entries, history.records())
    faults += step_faults(history, _places(entries))
    faults += _blob_faults(records, history)
    return tuple(faults)


def _chain_faults(entries: Iterable[AuditEntry]) -> Iterator[str]:
    wanted, previous = 1, FIRST_PREVIOUS
    for entry in entries:
        if entry.n != wanted:
            last = entry.n - 1
            gap = f"{wanted} is" if wanted >= last else f"{wanted} to {last} are"
            yield f"audit entry {gap} missing"
        if entry.previous != previous:
            yield f"audit entry {entry.n} does not follow the one before it: the chain is broken"
        if entry.hash != entry_hash(entry):
            yield f"audit entry {entry.n} was changed: its hash does not fit"
        wanted, previous = entry.n + 1, entry.hash


def _record_faults(
    entries: Iterable[AuditEntry], records: dict[type[Record], tuple[AnyRecord, ...]]
) -> Iterator[str]:
    """Records against entries: the k-th entry of a kind of step is that of record k."""
    by_action: dict[Action, list[AuditEntry]] = defaultdict(list)
    for entry in entries:
        by_action[entry.action].append(entry)
    for kind, kept in records.items():
        wanted = dict(enumerate(by_action[kind.action], start=1))
        for record in kept:
            told = wanted.pop(record.n, None)
            if told is None:
                yield f"{kind.noun} {record.n} has no audit entry"
            elif told.record != record_digest(record):
                yield f"{kind.noun} {record.n} is not what audit entry {told.n} names"
            elif _tells_otherwise(told, record):
                yield f"audit entry {told.n} does not tell what {kind.noun} {record.n} says"
        for n, told in wanted.items():
            yield f"{kind.noun} {n}, of which audit entry {told.n} tells, is missing"


def _tells_otherwise(told: AuditEntry, record: AnyRecord) -> bool:
    fits = told.hash == entry_hash(told)  # one that does not is told of already
    return fits and told != entry_of(record, n=told.n, previous=told.previous)


def _places(entries: Iterable[AuditEntry]) -> dict[tuple[Action, int], int]:
    """Place in the chain of the k-th entry of each kind of step."""
    seen: dict[Action, int] = defaultdict(int)
    places = {}
    for entry in entries:
        seen[entry.action] += 1
        places[entry.action, seen[entry.action]] = entry.n
    return places


def _blob_faults(records: Records, history: History) -> Iterator[str]:
    for revision in history.revisions:
        try:
            records.revision(revision)
        except StoreError as error:
            yield str(error)
    for address in dict.fromkeys(report.digest for report in history.reports):
        try:
            if digest(records.report(address)) != address:
                yield f"report `{address}` is not what was stored"
        except KeyError:
            yield f"report `{address}` is missing"
        except StoreError as error:
            yield str(error)
