"""A step is only ok where everything that it needs was there to be judged."""

import pytest

from catalog.answers.setup_check import setup_check
from tests.catalog.synthetic import control, synthetic_index


def states(**changes: object) -> dict[str, str]:
    named = {f"/{pointer}".replace("__", "/"): value for pointer, value in changes.items()}
    answer = setup_check(synthetic_index(), control(named))
    return {step.id: step.state for step in answer.steps}


def test_a_right_setup_is_ok_throughout() -> None:
    assert set(states().values()) == {"ok"}


@pytest.mark.parametrize(
    ("left_out", "open_too"),
    [
        ("gauge", {"tooling", "press"}),
        ("press", {"tooling", "press"}),
        ("tube__wall", {"tube", "service", "tooling", "press"}),
        ("tube__material", {"tube", "service", "tooling", "press"}),
        ("fitting__series", {"fitting", "service", "prepare", "tooling", "lubricate", "press"}),
        ("service__temperature", {"service"}),
    ],
)
def test_what_hangs_on_a_fact_left_out_is_open(left_out: str, open_too: set[str]) -> None:
    told = states(**{left_out: "out"})
    assert {step for step, state in told.items() if state == "open"} == open_too
    assert {step for step, state in told.items() if state != "open"} == set(told) - open_too


def test_a_fault_is_wrong_even_where_the_rest_is_open() -> None:
    told = states(gauge="out", tooling__cone="cone-S-14")
    assert told["tooling"] == "wrong"
    assert told["press"] == "open"
