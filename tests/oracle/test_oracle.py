"""Answers are what they were, to the last digit, and every difference shows where it is."""

from collections.abc import Callable
from typing import Any

import msgspec
import pytest

from tests.oracle.answering import BYTES, EACH, FILES, KINDS, QUESTIONS, answer_of, digests, parted
from tests.oracle.comparing import differences
from tests.oracle.drawing import PAIRS, SEED, TARGETS, question_of
from tests.oracle.held import differing, held, manifest, thinned

pytestmark = pytest.mark.apart


def test_a_thinned_share_is_answered_as_before() -> None:
    places = thinned()
    wrong = differing(places, (digests(answer_of(*QUESTIONS[place])) for place in places))
    # `uv run python -m tests.oracle --against REV` says what the difference is.
    assert {file: len(each) for file, each in wrong.items()} == dict.fromkeys(FILES, 0)


def test_what_is_held_is_of_these_questions() -> None:
    told = manifest()
    assert (told["seed"], told["each"], told["kinds"]) == (SEED, EACH, [*KINDS])
    assert {len(held(file)) for file in FILES} == {len(QUESTIONS) * BYTES}


def test_every_target_is_asked_on_every_pair() -> None:
    asked = set()
    for number in range(len(TARGETS) * len(PAIRS)):
        question = question_of("setup check", number)
        asked.add((number % len(TARGETS), question.get("press"), question.get("gauge")))
    assert len(asked) > 0.85 * len(TARGETS) * len(PAIRS)


def _differ(place: list[Any], change: Callable[[Any], Any]) -> list[bool]:
    """Which digests of a setup check in full detail differ once one value of it is another."""
    answer = next(
        answer
        for number in range(EACH)
        if len(str(parted(answer := answer_of("setup check", number)).working)) > 5000
    )
    told = part = msgspec.json.decode(answer)
    for name in place[:-1]:
        part = part[name]
    part[place[-1]] = change(part[place[-1]])
    pairs = zip(digests(answer), digests(msgspec.json.encode(told)), strict=True)
    return [one != other for one, other in pairs]


@pytest.mark.parametrize(
    ("place", "change", "which"),
    [
        (["target", "force", "value"], lambda value: value + 1e-8, "answers"),
        (["findings", 0, "code"], lambda code: code + "s", "answers"),
        (["findings", 0, "message"], lambda text: text + ".", "words"),
        (["scope"], str.upper, "words"),
        (["working", 3, "name"], str.upper, "working"),
        (["working", 3, "result", "value"], lambda value: value + 1e-8, "working"),
        (["working"], lambda steps: steps[:-1], "working"),
    ],
)
def test_a_difference_is_told_where_it_is(
    place: list[Any], change: Callable[[Any], Any], which: str
) -> None:
    assert _differ(place, change) == [file == which for file in FILES]


def test_another_revision_alone_is_no_difference() -> None:
    assert _differ(["revision"], str.upper) == [False] * len(FILES)


def test_steps_are_compared_by_their_names() -> None:
    was = {"working": [{"name": "force", "inputs": {"F": 1}}, {"name": "area"}]}
    now = {"working": [{"name": "oil"}, {"name": "force", "inputs": {}}, {"name": "area"}]}
    assert list(differences(was, now)) == [
        ("working[force].inputs.F", "removed", 1, None),
        ("working[oil]", "added", None, {"name": "oil"}),
    ]
