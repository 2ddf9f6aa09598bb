"""A rule that fails is a bug: the answer fails with it, and nobody is given a verdict."""

from collections.abc import Iterator
from typing import Any

import msgspec
import pytest

from catalog.answers.picking import picked
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tube_rating import tube_rating
from catalog.questions import AnswerUnits, PickItem, PressTargetQuestion, TubeRatingQuestion
from catalog.rules import BASE_RULES, PAIR_RULES, RULES
from catalog.rules.group import Group
from catalog.rules.raised import Raised
from catalog.rules.tube_rating import TUBE_RATING_RULES
from catalog.setup.pair import PressAndGauge
from catalog.setup.resolving import Setup
from tests.catalog.synthetic import CONTROL, control, synthetic_index

PRESSING = {name: CONTROL[name] for name in ("tube", "fitting")}


class BrokenRuleError(Exception):
    """Raised by the rule of this test."""


def broken(setup: Any) -> Iterator[Raised]:
    if setup is not None:
        raise BrokenRuleError
    yield Raised("never", "", "")


BROKEN = Group(Setup, (broken,))
BROKEN_OF_PAIR = Group(PressAndGauge, (broken,))


def test_a_setup_check_fails_with_its_rule() -> None:
    for at in (0, len(RULES) // 2, len(RULES)):
        with pytest.raises(BrokenRuleError):
            setup_check(synthetic_index(), control(), (*RULES[:at], BROKEN, *RULES[at:]))


def test_a_rejected_setup_does_not_save_a_broken_rule() -> None:
    wrong = control({"/preparation/tube_bottomed": False})
    assert setup_check(synthetic_index(), wrong).verdict == "rejected"
    with pytest.raises(BrokenRuleError):
        setup_check(synthetic_index(), wrong, (*RULES, BROKEN))


def test_a_press_target_fails_with_its_rule() -> None:
    with pytest.raises(BrokenRuleError):
        press_target(
            synthetic_index(), msgspec.convert(PRESSING, PressTargetQuestion), (*RULES, BROKEN)
        )


def test_a_pick_fails_with_its_rule_whether_it_judges_the_tube_or_the_pair() -> None:
    item = msgspec.convert(PRESSING, PickItem)
    with pytest.raises(BrokenRuleError):
        picked(synthetic_index(), item, AnswerUnits(), (*BASE_RULES, BROKEN))
    with pytest.raises(BrokenRuleError):
        picked(synthetic_index(), item, AnswerUnits(), BASE_RULES, (*PAIR_RULES, BROKEN_OF_PAIR))


def test_a_rating_fails_with_its_rule() -> None:
    tube = {name: CONTROL["tube"][name] for name in ("od", "wall", "material")}
    with pytest.raises(BrokenRuleError):
        tube_rating(
            synthetic_index(),
            msgspec.convert({"tube": tube}, TubeRatingQuestion),
            (*TUBE_RATING_RULES, broken),
        )
