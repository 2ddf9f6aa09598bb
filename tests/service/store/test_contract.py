"""What goes into a store comes out again, whatever database stands behind it."""

import hashlib
import json

import msgspec
import pytest
from msgspec import structs

from catalog.revision import manifest_bytes, revision_of, table_bytes
from catalog.rows import TABLES
from service.store.records import KeyRevocation, Proposal
from service.store.sqlite.keeping import Store
from service.store.verifying import verified
from tests.service.store.conftest import Opened
from tests.service.store.office import (
    SHIPPED,
    activate,
    at,
    digest_of_a_row,
    everything,
    live_a_year,
    propose,
    report_and_approve,
    small,
)


def test_a_new_store_is_empty_and_sound(store: Store) -> None:
    with store.reading() as records:
        told = dict(everything(records))
        assert told.pop("last") is None
        assert set(told.values()) == {()}
        assert records.revision(SHIPPED.id) is None
        assert records.proposal(SHIPPED.id) is None
        with pytest.raises(KeyError):
            records.report(digest_of_a_row())
        assert verified(records) == ()


def test_tables_come_back_byte_for_byte(store: Store) -> None:
    propose(store, SHIPPED)
    with store.reading() as records:
        back = records.revision(SHIPPED.id)
    assert back is not None
    assert back.id == SHIPPED.id
    assert manifest_bytes(back.manifest) == manifest_bytes(SHIPPED.manifest)
    assert list(back.tables) == list(TABLES)
    for name, rows in SHIPPED.tables.items():
        assert len(rows) > 1
        # Row by row, as it was stored: the order is part of it.
        assert [msgspec.to_builtins(row) for row in back.tables[name]] == [
            msgspec.to_builtins(row) for row in rows
        ]
        assert table_bytes(back.tables[name]) == table_bytes(rows)
    assert revision_of(back.tables).id == SHIPPED.id


def test_tables_that_do_not_hash_to_their_id_are_not_kept(store: Store) -> None:
    wrong = structs.replace(small(1), tables=small(2).tables)
    with pytest.raises(ValueError, match="digest"):
        propose(store, wrong)
    with store.reading() as records:
        assert records.revision(wrong.id) is None
        assert records.proposals() == ()


def test_a_report_comes_back(store: Store) -> None:
    content = bytes(range(256)) * 100
    with store.changing() as change:
        address = change.add_report(content)
        assert change.report(address) == content
        assert change.add_report(content) == address
    assert address == "sha256:" + hashlib.sha256(content).hexdigest()
    with store.reading() as records:
        assert records.report(address) == content


def test_every_record_comes_back_as_it_was(store: Store) -> None:
    live_a_year(store)
    with store.reading() as records:
        first, second, third = (small(n).id for n in (1, 2, 3))
        assert [p.revision for p in records.proposals()] == [first, second, third]
        assert records.proposal(second) == records.proposals()[1]
        assert records.proposals()[1] == Proposal(
            n=2, at=at(1), by="office a", revision=second, base=first, note="tables of spring"
        )
        (report,) = records.reports(second)
        assert (report.n, report.against) == (2, first)
        assert records.report(report.digest) == f"report on {second}".encode()
        (approval,) = records.approvals(second)
        assert (approval.n, approval.report, approval.by) == (2, report.digest, "office b")
        assert [(a.doubt, a.reason) for a in approval.acknowledged] == [
            ("target 16 x 2", "pressed three rings")
        ]
        assert records.reports() == tuple(records.reports(r)[0] for r in (first, second, third))
        assert records.approvals() == tuple(records.approvals(r)[0] for r in (first, second, third))
        assert [(a.revision, a.previous, a.approval) for a in records.activations()] == [
            (first, None, 1),
            (second, first, 2),
            (third, second, 3),
            (first, third, None),
        ]
        assert records.last_activation() == records.activations()[-1]
        assert [(w.row, w.row_digest) for w in records.withdrawals()] == [
            (None, None),
            ("targets/S/16", digest_of_a_row()),
        ]
        made = records.keys()
        assert [(k.id, k.scopes, k.expires_at) for k in made] == [
            ("key1", ("read", "propose"), None),
            ("key2", ("read", "propose"), "2027-01-01T00:00:00Z"),
        ]
        assert records.revocations() == (
            KeyRevocation(n=1, at=at(7), by="admin", key="key1", reason="lost"),
        )
        assert len(records.withdrawals()) == 2
        assert records.revisions() == (first, second, third)
        assert verified(records) == ()


def test_lists_are_read_from_a_number_on_and_to_a_limit(store: Store) -> None:
    live_a_year(store)
    with store.reading() as records:
        assert [a.n for a in records.activations(after=1, limit=2)] == [2, 3]
        assert [a.n for a in records.activations(after=2)] == [3, 4]
        assert records.activations(after=4) == records.activations(after=9) == ()
        assert records.activations(limit=0) == ()
        entries = records.audit()
        assert records.audit(after=5, limit=3) == entries[5:8]
        assert records.audit(after=len(entries)) == ()


def test_the_audit_trail_can_be_reckoned_by_others(store: Store) -> None:
    live_a_year(store)
    with store.reading() as records:
        entries, activations, keys = records.audit(), records.activations(), records.keys()
    actions = [*3 * ("propose", "report", "approve", "activate"), "activate", *2 * ("withdraw",)]
    assert [e.action for e in entries] == [*actions, *2 * ("make-key",), "revoke-key"]
    previous = "sha256:" + 64 * "0"
    for n, entry in enumerate(entries, start=1):
        assert (entry.n, entry.previous) == (n, previous)
        fields = structs.asdict(entry)
        previous = fields.pop("hash")
        assert previous == _sha256(fields)
    # Only plain letters and whole numbers stand in these: there, sorted JSON is RFC 8785.
    assert entries[3].record == _sha256(structs.asdict(activations[0]))
    assert (entries[3].subject, entries[3].note) == (small(1).id, "from Monday on")
    assert (entries[14].subject, entries[14].note) == (small(3).id, "ring crushed")
    assert (entries[15].subject, entries[15].note) == ("key1", "bench: read, propose")
    assert (entries[17].subject, entries[17].note) == ("key1", "lost")
    assert keys[0].secret_hash not in str(entries)


def _sha256(fields: dict[str, object]) -> str:
    text = json.dumps(fields, sort_keys=True, separators=(",", ":"))
    return "sha256:" + hashlib.sha256(text.encode()).hexdigest()


def test_what_was_stored_is_there_when_opened_again(opened: Opened) -> None:
    store = opened()
    live_a_year(store)
    with store.reading() as records:
        before = list(everything(records))
    store.close()
    with opened().reading() as records:
        assert list(everything(records)) == before
        assert verified(records) == ()


def test_an_approval_may_come_after_another(store: Store) -> None:
    propose(store, small(1))
    report_and_approve(store, small(1).id)
    report_and_approve(store, small(1).id, by="office c")
    activate(store, small(1).id, approval=2)
    with store.reading() as records:
        assert [a.by for a in records.approvals(small(1).id)] == ["office b", "office c"]
        assert verified(records) == ()
