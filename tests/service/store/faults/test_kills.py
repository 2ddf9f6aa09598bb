"""Forty kills at random moments; `kills.py` runs more and prints the figures."""

import pytest

from tests.service.store.faults.kills import run

pytestmark = pytest.mark.apart


def test_a_kill_tears_nothing_and_loses_nothing() -> None:
    figures = run(40, seed=7)
    assert figures.kills == 40
    # Else the kills came at moments at which nothing was under way.
    assert figures.acknowledged > 100
    assert {"propose", "approve", "activate"} <= set(figures.last_heard)
