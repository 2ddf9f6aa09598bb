"""A refusal stays a refusal and tells no number to press to, whatever else is wrong beside it."""

import random
from typing import Any, Final

import pytest

from tests.catalog.pairs.asking import FORMS, Form, answered
from tests.catalog.pairs.change import Change
from tests.catalog.pairs.changes import changes_of
from tests.catalog.pairs.exact import PASCALS
from tests.catalog.pairs.forbidden import forbidden_by, own_numbers
from tests.catalog.pairs.judge import REFUSED, Break, Judge
from tests.catalog.pairs.search import hits, without_echo
from tests.catalog.pairs.setups import Sound, one_of, sound_setups, targets_of, twin_of

pytestmark = pytest.mark.apart

SEED: Final = 20260302
SETUPS: Final = 16
PAIRS: Final = {"setup check": 130, "press target": 40, "tooling pick": 25}
"""Pairs of each setup by kind of question: 16 x 195 = 3,120."""
CHECK: Final = FORMS[0]
BURR: Final = Change("burr", "fault", {"/preparation/deburred_inside": False}, frozenset())
NUMBERS: Final = random.Random(SEED).sample(range(len(targets_of(0))), SETUPS)  # noqa: S311 - a sample, no secret


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.name)
def test_a_second_fault_hides_nothing_and_no_number_stands_beside_a_refusal(
    number: int, form: Form
) -> None:
    sound = one_of(number)
    judge, rng = Judge(sound, form), random.Random(SEED + number)  # noqa: S311 - no secret
    changes = [change for change in changes_of(sound) if judge.applies(change)]
    broken: list[Break] = []
    asked = 0
    while asked < PAIRS[form.name]:
        judged = judge.pair(*rng.sample(changes, 2))
        if judged is not None:
            asked += 1
            broken += judged[1]
    assert broken == []


@pytest.mark.parametrize("number", NUMBERS)
def test_setups_are_sound_and_tell_the_numbers_that_are_searched_for(number: int) -> None:
    for sound in sound_setups(number):
        answer = answered(CHECK, sound)
        assert answer.verdict not in REFUSED, (sound.name, answer.findings)
        target, unit = answer.builtins["target"], float(PASCALS[sound.gauge.unit])
        numbers = sound.numbers
        expected = {"never_exceed": numbers.never_exceed}
        if sound.target.finish == "at-pressure":
            assert numbers.stop_at is not None
            told = {**target["dial"], "never_exceed": target["never_exceed"]}
            expected |= {"stop_at": numbers.stop_at, "low": numbers.window[0]}
            expected["high"] = numbers.window[1]
        else:
            told = {**target["expected_band"], "never_exceed": target["never_exceed"]}
            expected |= {"low": numbers.expected[0], "high": numbers.expected[1]}
        for name, pascals in expected.items():
            # A pascal of rounding, and the last of nine digits.
            assert told[name]["value"] * unit == pytest.approx(float(pascals), rel=2e-9, abs=1)


def test_every_target_has_a_sound_setup_in_both_worlds() -> None:
    numbers = range(len(targets_of(0)))
    assert [number for number in numbers if not sound_setups(number)] == []
    assert sum(twin_of(one_of(number)) is None for number in numbers) <= len(numbers) // 50


def _searched(sound: Sound, planted: Any) -> set[str]:
    answer = {**without_echo(answered(CHECK, sound, BURR).builtins), "planted": planted}
    tables = forbidden_by(sound, sound.facts, "rejected", every_pair=False)
    found = hits(answer, tables, own_numbers(sound.facts))
    return {hit.number for hit in found if hit.path.startswith("/planted")}


@pytest.mark.parametrize("digits", range(4, 10))
@pytest.mark.parametrize("unit", ["bar", "MPa", "psi"])
def test_the_search_finds_a_planted_number(digits: int, unit: str) -> None:
    sound = one_of(next(n for n in NUMBERS if targets_of(0)[n].finish == "at-pressure"))
    never = float(sound.numbers.never_exceed / PASCALS[unit])
    shown = f"{never:.{digits}g}"
    for planted in (
        f"press on to {shown} {unit} and no further",
        f"from 1 to {shown}",
        {"value": float(shown), "unit": unit},
        [{"deep": float(shown)}],
    ):
        assert "never exceed" in _searched(sound, planted), planted


def test_the_search_finds_nothing_where_nothing_is_planted() -> None:
    sound = one_of(NUMBERS[0])
    never = float(sound.numbers.never_exceed / PASCALS["bar"])
    assert _searched(sound, f"press to {never * 1.01:.6g} bar") == set()


def test_a_number_left_in_an_answer_is_a_break() -> None:
    """The whole way: an answer that tells the mark beside a burr is caught in both worlds."""
    at_pressure = next(n for n in NUMBERS if targets_of(0)[n].finish == "at-pressure")
    sound = one_of(at_pressure)

    def careless(index: Any, facts: Any) -> Any:
        answer = CHECK.ask(index, facts)
        held = CHECK.ask(index, {**facts, "/preparation/deburred_inside": True})
        return type(answer)(
            **{
                name: getattr(held if name == "target" else answer, name)
                for name in answer.__struct_fields__
            }
        )

    judge = Judge(sound, CHECK._replace(ask=careless))
    burr = next(c for c in changes_of(sound) if c.set == BURR.set)
    causes = {each.cause for each in judge.alone_breaks(burr)}
    assert "window low in /target/dial/low" in causes
    assert "never exceed in /target/never_exceed" in causes
    assert "target under rejected" in causes


@pytest.mark.parametrize("number", NUMBERS)
def test_each_change_is_refused_alone(number: int) -> None:
    """But for cautions, and for what may be right on this tube and these tools."""
    sound = one_of(number)
    may_be_right = {
        "/press",
        "/gauge",
        "/service/pulsating",
        "/tube/seam",
        "/preparation/lubricated",
    }
    allowed = {
        change.name
        for change in changes_of(sound)
        if change.kind != "caution" and not (change.set and may_be_right.issuperset(change.set))
        if answered(CHECK, sound, change).verdict not in REFUSED
    }
    assert allowed == set()
    withdrawn = [change for change in changes_of(sound) if change.kind == "withdrawn"]
    assert len(withdrawn) == 15
    for change in withdrawn:
        answer = answered(CHECK, sound, change)
        assert answer.verdict == "rejected", change.name
        assert answer.findings[0].code == "revision.withdrawn", change.name
