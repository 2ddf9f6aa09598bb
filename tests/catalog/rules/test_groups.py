"""A group of rules that has nothing to judge: something else has said why."""

import random
from collections.abc import Mapping
from typing import Any

import pytest

from catalog.questions import PressTargetQuestion, SetupCheckQuestion
from catalog.rules import PAIR_RULES, RULES
from catalog.setup.resolving import Setup, press_target_setup, setup_check_setup
from tests.catalog.pairs.asking import FORMS, Form, answered, changed_facts
from tests.catalog.pairs.change import Change, with_standing
from tests.catalog.pairs.changes import changes_of
from tests.catalog.pairs.judge import REFUSED, Judge
from tests.catalog.pairs.setups import Sound, nested, one_of, targets_of
from tests.catalog.synthetic import in_full

SEED = 20261127
CHECK, TARGET = FORMS[:2]
CLASSES = {group.over.__name__ for group in RULES}
NOT_OF_A_TARGET = {"RatedLine", "Prepared", "StatedReadings", "ReadOnDial"}
"""A press target states no reading, and judges neither line nor preparation."""
OF_A_PAIR = {"OnPress", "PressAndGauge", "Pressed", "GaugeOnDay"}
"""Asked of a press target only where it names a press or a gauge."""
ALWAYS = {"Setup", "TubeEnd", "Tooled", "Prepared", "RatedLine", "StatedReadings"}
"""What a kind of question has whenever it is asked."""


def asked(form: Form, facts: Mapping[str, Any]) -> set[str]:
    """Names of the classes that a question should have something of."""
    if form is CHECK:
        return CLASSES
    named = "/press" in facts or "/gauge" in facts
    return CLASSES - NOT_OF_A_TARGET - (set() if named else OF_A_PAIR)


def setup_of(form: Form, sound: Sound, *changes: Change) -> Setup:
    index, facts = with_standing(sound.index, *changes), changed_facts(form, sound, changes)
    if form is CHECK:
        return setup_check_setup(index, in_full(nested(facts), SetupCheckQuestion))
    return press_target_setup(index, in_full(nested(facts), PressTargetQuestion))


def known(form: Form, sound: Sound, *changes: Change) -> set[str]:
    return {over.__name__ for over in setup_of(form, sound, *changes).subjects()}


@pytest.mark.parametrize("form", FORMS[:2], ids=lambda form: form.name)
def test_what_is_not_known_has_a_finding_of_its_own(form: Form) -> None:
    rng = random.Random(SEED)  # noqa: S311 - a sample, no secret
    missed: set[str] = set()
    for number in rng.sample(range(len(targets_of(0))), 12):
        sound = one_of(number)
        judge = Judge(sound, form)
        changes = [change for change in changes_of(sound) if judge.applies(change)]
        assert known(form, sound) == asked(form, sound.facts)
        drawn = [rng.sample(changes, 2) for _ in range(40)]
        for made in [*([change] for change in changes), *drawn]:
            facts = changed_facts(form, sound, made)
            if missing := asked(form, facts) - known(form, sound, *made):
                missed |= missing
                names = [change.name for change in made]
                assert answered(form, sound, *made).verdict in REFUSED, (sound.name, names)
    # Every group was seen without its subject, but for what every question of its kind has.
    assert missed == asked(form, {"/press": ""}) - ALWAYS


def test_rules_of_a_pair_are_over_what_a_pair_has() -> None:
    """Pairs are tried by their subjects alone: a rule over another would be left out in silence."""
    assert {group.over.__name__ for group in PAIR_RULES} == OF_A_PAIR
