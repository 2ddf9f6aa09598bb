"""A refusal stays a refusal and tells no number to press to, whatever else is wrong beside it."""

import random
from typing import Final

import pytest

from tests.catalog.pairs.forms import FORMS
from tests.catalog.pairs.judge import Judge
from tests.catalog.pairs.setups import Sound, setups_by_target

SEED: Final = 20260302
SETUPS: Final = 12
PAIRS: Final = {"setup check": 200, "press target": 50, "tooling pick": 30}
"""Pairs of each setup by kind of question; together some more than 3,000."""
CHECK: Final = FORMS[0]


def _sampled() -> list[Sound]:
    # Every second finished at contact would be too many: one in four of the targets is.
    return random.Random(SEED).sample(setups_by_target(), SETUPS)  # noqa: S311 - a sample, no secret


@pytest.mark.parametrize("sound", _sampled(), ids=lambda sound: sound.name)
@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
def test_a_second_fault_hides_nothing_and_no_number_stands_beside_a_refusal(
    sound: Sound, form: object
) -> None:
    assert isinstance(form, type(CHECK))
    judge, rng = Judge(sound, form), random.Random(f"{SEED} {sound.name}")  # noqa: S311
    broken, asked = [], 0
    while asked < PAIRS[form.name]:
        one, other = rng.sample(judge.changes, 2)
        judged = judge.pair(one, other)
        if judged is not None:
            asked += 1
            broken += judged[1]
    assert broken == []
