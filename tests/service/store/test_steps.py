"""Steps that may not be, written into a store through its own verbs: verifying names each."""

from collections.abc import Callable

import pytest
from msgspec import structs

from service.store.records import Activation, Approval
from service.store.sqlite.keeping import Store
from service.store.verifying import verified
from tests.service.store.office import (
    APPROVER,
    PROPOSER,
    activate,
    at,
    propose,
    publish,
    report_and_approve,
    small,
)

ONE, TWO = small(1).id, small(2).id


def _approved_by_its_proposer(store: Store) -> str:
    propose(store, small(2), by=PROPOSER)
    report_and_approve(store, TWO, by=PROPOSER)
    return f"approval 2 is by `{PROPOSER}`, who proposed that revision"


def _never_approved(store: Store) -> str:
    propose(store, small(2))
    activate(store, TWO, approval=None)
    return f"activation 2 is of revision `{TWO}`, never approved nor active before"


def _approval_of_another(store: Store) -> str:
    propose(store, small(2))
    report_and_approve(store, TWO)
    activate(store, TWO, approval=1)
    return "activation 2 rests on approval 1, which is none of it"


def _not_after_the_one_before(store: Store) -> str:
    propose(store, small(2))
    report_and_approve(store, TWO)
    with store.changing() as change:
        change.add(
            Activation(n=2, at=at(4), by=APPROVER, revision=TWO, previous=None, approval=2, note="")
        )
    return "activation 2 does not name the revision that was active before it"


def _approved_without_its_report(store: Store) -> str:
    propose(store, small(2))
    with store.changing() as change:
        (first,) = change.approvals(ONE)
        change.add(structs.replace(first, n=2, revision=TWO))
    return f"approval 2 rests on report `{first.report}`, which is none on it"


def _approved_against_something_else(store: Store) -> str:
    propose(store, small(2))
    report_and_approve(store, TWO)
    with store.changing() as change:
        (approval,) = change.approvals(TWO)
        assert isinstance(approval, Approval)
        assert approval.against == ONE
        change.add(structs.replace(approval, n=3, against=None))
    return f"approval 3 rests on report `{approval.report}`, which is none on it"


def _tables_without_a_proposal(store: Store) -> str:
    with store.changing() as change:
        change.add_tables(small(2))
    return f"revision `{TWO}` has no proposal"


@pytest.mark.parametrize(
    "wrong",
    [
        _approved_by_its_proposer,
        _never_approved,
        _approval_of_another,
        _not_after_the_one_before,
        _approved_without_its_report,
        _approved_against_something_else,
        _tables_without_a_proposal,
    ],
)
def test_a_step_that_may_not_be_is_named(store: Store, wrong: Callable[[Store], str]) -> None:
    publish(store, small(1))
    with store.reading() as records:
        assert verified(records) == ()
    told = wrong(store)
    with store.reading() as records:
        assert verified(records) == (told,)


def test_the_first_activation_needs_no_approval_and_the_way_back_neither(store: Store) -> None:
    propose(store, small(1))
    activate(store, ONE, approval=None)
    publish(store, small(2))
    activate(store, ONE, approval=None)
    with store.reading() as records:
        assert verified(records) == ()
