"""Steps of an office on a store, one change each, and small revisions to take them on."""

from collections.abc import Iterator
from functools import cache

from msgspec import structs

from catalog.revision import Revision, revision_of, rows_of
from catalog.rows import Source, Target
from catalog.seed import shipped_revision
from service.store.records import (
    Acknowledged,
    Activation,
    Approval,
    Key,
    KeyRevocation,
    Proposal,
    Report,
    Withdrawal,
)
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records

SHIPPED = shipped_revision()
PROPOSER, APPROVER = "office a", "office b"


class StopError(Exception):
    """What a test throws."""


def at(minute: int) -> str:
    """A time, by the minute."""
    return f"2026-03-02T{6 + minute // 60:02}:{minute % 60:02}:00Z"


@cache
def small(number: int) -> Revision:
    """A revision of sources and some targets, another one for each number."""
    first, *others = rows_of(SHIPPED, Target)[:40]
    first = structs.replace(first, force_kn=10 + number / 100)
    return revision_of({"sources": rows_of(SHIPPED, Source), "targets": [first, *others]})


def propose(store: Store, revision: Revision, *, by: str = PROPOSER) -> None:
    """Keep a revision."""
    with store.changing() as change:
        last = change.last_activation()
        change.add_tables(revision)
        change.add(
            Proposal(
                n=change.next_number(Proposal),
                at=at(1),
                by=by,
                revision=revision.id,
                base=last.revision if last else None,
                note="tables of spring",
            )
        )


def report_and_approve(store: Store, revision: str, *, by: str = APPROVER) -> None:
    """Keep a report on a revision, and approve it."""
    with store.changing() as change:
        last = change.last_activation()
        against = last.revision if last else None
        address = change.add_report(f"report on {revision}".encode())
        change.add(
            Report(
                n=change.next_number(Report),
                at=at(2),
                by=by,
                revision=revision,
                against=against,
                digest=address,
            )
        )
        change.add(
            Approval(
                n=change.next_number(Approval),
                at=at(3),
                by=by,
                revision=revision,
                against=against,
                report=address,
                note="read",
                acknowledged=(Acknowledged(doubt="target 16 x 2", reason="pressed three rings"),),
            )
        )


def activate(store: Store, revision: str, *, approval: int | None) -> None:
    """Make a revision the one that holds."""
    with store.changing() as change:
        last = change.last_activation()
        change.add(
            Activation(
                n=change.next_number(Activation),
                at=at(4),
                by=APPROVER,
                revision=revision,
                previous=last.revision if last else None,
                approval=approval,
                note="from Monday on",
            )
        )


def publish(store: Store, revision: Revision) -> None:
    """All steps from a revision to its activation."""
    propose(store, revision)
    report_and_approve(store, revision.id)
    with store.reading() as records:
        (approval,) = records.approvals(revision.id)
    activate(store, revision.id, approval=approval.n)


def live_a_year(store: Store) -> None:
    """A history with every kind of step in it: three revisions, a way back, withdrawals, keys."""
    for number in (1, 2, 3):
        publish(store, small(number))
    activate(store, small(1).id, approval=None)
    with store.changing() as change:
        row = digest_of_a_row()
        for n, name, address in ((1, None, None), (2, "targets/S/16", row)):
            change.add(
                Withdrawal(
                    n=n,
                    at=at(5),
                    by=APPROVER,
                    revision=small(3).id,
                    row=name,
                    row_digest=address,
                    reason="ring crushed",
                )
            )
    with store.changing() as change:
        change.add(key(1))
        change.add(structs.replace(key(2), expires_at="2027-01-01T00:00:00Z"))
        change.add(KeyRevocation(n=1, at=at(7), by="admin", key="key1", reason="lost"))


def key(n: int) -> Key:
    """The n-th key."""
    return Key(
        n=n,
        at=at(6),
        by="admin",
        id=f"key{n}",
        name="bench",
        scopes=("read", "propose"),
        secret_hash="hash of what only the holder has",  # noqa: S106
        expires_at=None,
    )


def digest_of_a_row() -> str:
    """A digest as a withdrawn row has it."""
    return "sha256:" + 32 * "ab"


def everything(records: Records) -> Iterator[tuple[str, object]]:
    """All that can be read, by the verb that reads it."""
    yield "audit", records.audit()
    yield "proposals", records.proposals()
    yield "reports", records.reports()
    yield "approvals", records.approvals()
    yield "activations", records.activations()
    yield "withdrawals", records.withdrawals()
    yield "keys", records.keys()
    yield "revocations", records.revocations()
    yield "last", records.last_activation()
    yield "revisions", records.revisions()
