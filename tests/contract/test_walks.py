"""Walks at random reach every step of an office, and find a service that lets a wrong one pass."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from schemathesis.core.failures import FailureGroup

from service.edge.problems import ProblemError
from service.office.standing import AllWithdrawn, standing_of
from tests.contract.walks import walk
from tests.service.publishing.here import make_reports_here

REACHED = (
    "propose 201",
    "propose 200",
    "report 200",
    "report 409",
    "approve 201",
    "approve 403",
    "approve 409",
    "activate 200",
    "activate 409",
    "withdraw 201",
    "press_target 200",
    "tooling_pick 200",
    "setup_check 200",
    "tube_rating 200",
    "items_impact 200",
    "diff 200",
)
WALKS = 12
pytestmark = pytest.mark.apart


@pytest.fixture(autouse=True)
def reports_are_made_here_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Another process makes them in the attack (`tests.contract.attack`)."""
    make_reports_here(monkeypatch)


Break = Callable[[pytest.MonkeyPatch], None]


def test_walks_go_through_every_step_and_find_nothing() -> None:
    walked = walk(walks=WALKS, steps=40)
    assert {step for step in REACHED if not walked[step]} == set(), sorted(walked.items())


def no_approval_is_asked_for(patch: pytest.MonkeyPatch) -> None:
    patch.setattr("service.office.activating._approval", lambda *_: None)


def the_proposer_may_approve(patch: pytest.MonkeyPatch) -> None:
    from service.office import approving

    kept = approving.approve

    def approve(*about: Any, by: str, **more: Any) -> Any:
        return kept(*about, by=f"not {by}", **more)

    patch.setattr("service.routes.steps.approve", approve)


def any_activation_may_be_seen(patch: pytest.MonkeyPatch) -> None:
    async def expected(request: Any, _data: Any) -> int:
        with request.app.state.store.reading() as records:
            return int(records.last_activation().n)

    patch.setattr("service.routes.active._expected", expected)


def withdrawals_are_forgotten(patch: pytest.MonkeyPatch) -> None:
    def standing(revision: str, rows: Any, active: str, activated: Any, _gone: Any) -> Any:
        return standing_of(revision, rows, active, activated, AllWithdrawn(whole={}, rows=()))

    patch.setattr("service.following.standing_of", standing)


def an_answer_of_another_form(patch: pytest.MonkeyPatch) -> None:
    patch.setattr("service.routes.active.activate", lambda *_, **__: {"activated": True})


def a_status_that_is_not_told(patch: pytest.MonkeyPatch) -> None:
    def refuse(*_: Any) -> Iterator[Any]:
        raise ProblemError("bad-request", "never")

    patch.setattr("service.routes.revisions.differences", refuse)


@pytest.mark.parametrize(
    "broken",
    [
        no_approval_is_asked_for,
        the_proposer_may_approve,
        any_activation_may_be_seen,
        withdrawals_are_forgotten,
        an_answer_of_another_form,
        a_status_that_is_not_told,
    ],
    ids=lambda broken: broken.__name__,
)
def test_a_service_that_lets_a_step_pass_is_found_out(
    broken: Break, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken(monkeypatch)
    with pytest.raises((AssertionError, FailureGroup)):
        walk(walks=WALKS, steps=40, shrink=False)
