"""What no store takes: numbers out of turn, names that lead to nothing, the same twice."""

from collections.abc import Callable, Iterator
from functools import partial

import pytest
from msgspec import structs

from service.store.records import (
    Activation,
    AnyRecord,
    Approval,
    KeyRevocation,
    Proposal,
    Report,
    Withdrawal,
)
from service.store.sqlite.changing import Change
from service.store.sqlite.keeping import Store
from service.store.verifying import verified
from tests.service.store.office import at, key, live_a_year, propose, publish, small


@pytest.mark.parametrize("number", [0, 1, 3, -1])
def test_a_number_that_is_not_the_next_is_refused(store: Store, number: int) -> None:
    publish(store, small(1))
    again = Activation(
        n=number,
        at=at(9),
        by="office b",
        revision=small(1).id,
        previous=small(1).id,
        approval=None,
        note="",
    )
    with pytest.raises(ValueError, match="is not the next, which is 2"), store.changing() as change:
        change.add(again)
    with store.reading() as records:
        assert len(records.activations()) == 1
        assert len(records.audit()) == 4


NOWHERE = "sha256:" + 64 * "1"
NAMING = [
    (Proposal, "revision", NOWHERE),
    (Proposal, "base", NOWHERE),
    (Report, "revision", NOWHERE),
    (Report, "against", NOWHERE),
    (Report, "digest", NOWHERE),
    (Approval, "revision", NOWHERE),
    (Approval, "against", NOWHERE),
    (Approval, "report", NOWHERE),
    (Activation, "revision", NOWHERE),
    (Activation, "previous", NOWHERE),
    (Activation, "approval", 7),
    (Withdrawal, "revision", NOWHERE),
    (KeyRevocation, "key", "key9"),
]


@pytest.mark.parametrize(("kind", "column", "name"), NAMING)
def test_what_names_something_that_is_not_stored_is_refused(
    store: Store, kind: type[AnyRecord], column: str, name: str | int
) -> None:
    live_a_year(store)
    with store.changing() as change:
        if kind is Proposal:
            change.add_tables(small(4))
        (right,) = [record for record in _next(change) if type(record) is kind]
        with pytest.raises(ValueError, match="takes no such record"):
            change.add(structs.replace(right, **{column: name}))
        # The refusal costs nothing else of the change, and the same without the name is taken.
        assert change.next_number(kind) == right.n
        change.add(right)
    with store.reading() as records:
        assert len(records.audit()) == 19
        assert verified(records) == ()


def _next(records: Change) -> Iterator[AnyRecord]:
    """One more record of each kind that names others."""
    new, old = small(4).id, small(3).id
    report = records.reports(old)[0].digest
    step = partial(_stepped, records)
    yield step(Proposal)(revision=new, base=old, note="")
    yield step(Report)(revision=old, against=None, digest=report)
    yield step(Approval)(revision=old, against=small(2).id, report=report, note="", acknowledged=())
    yield step(Activation)(revision=old, previous=small(1).id, approval=3, note="")
    yield step(Withdrawal)(revision=old, row=None, row_digest=None, reason="crushed")
    yield step(KeyRevocation)(key="key2", reason="lost")


def _stepped(records: Change, kind: type[AnyRecord]) -> Callable[..., AnyRecord]:
    return partial(kind, n=records.next_number(kind), at=at(9), by="office c")


def test_what_is_there_is_not_proposed_or_made_again(store: Store) -> None:
    propose(store, small(1))
    with pytest.raises(ValueError, match="takes no such record"):
        propose(store, small(1), by="office c")
    with store.changing() as change:
        change.add(key(1))
    with pytest.raises(ValueError, match="takes no such record"), store.changing() as change:
        change.add(structs.replace(key(1), n=2))
    with store.reading() as records:
        assert len(records.audit()) == 2


@pytest.mark.parametrize("fields", [{"at": "yesterday"}, {"by": ""}, {"at": "2026-03-02 06:00Z"}])
def test_a_step_has_a_time_and_a_name(store: Store, fields: dict[str, str]) -> None:
    with pytest.raises(ValueError, match="takes no such record"), store.changing() as change:
        change.add(structs.replace(key(1), **fields))
    with store.reading() as records:
        assert records.audit() == ()
