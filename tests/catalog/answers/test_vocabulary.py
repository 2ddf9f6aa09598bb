"""What the vocabulary says of facts is what the answers ask for and take as given."""

from typing import Any

from catalog import facts
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.answers.vocabulary import vocabulary
from catalog.questions import (
    PickItem,
    PressTargetQuestion,
    ServiceFacts,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from tests.catalog.synthetic import shipped_with


def picked(item: PickItem) -> Any:
    (told,) = tooling_pick(shipped_with(), ToolingPickQuestion(items=(item,))).items
    return told


def test_what_an_empty_question_is_asked_for_is_told_as_required() -> None:
    index = shipped_with()
    answers: dict[str, Any] = {
        "press_target": press_target(index, PressTargetQuestion()),
        "tooling_pick": picked(PickItem()),
        "tooling_pick_with_service": picked(PickItem(service=ServiceFacts())),
        "setup_check": setup_check(index, SetupCheckQuestion()),
        "tube_rating": tube_rating(index, TubeRatingQuestion()),
    }
    # Stated unless the ring is finished at contact; a grade or a stress.
    either = {
        ("/intended_reading", "press.reading-missing"),
        ("/tube/material", "tube.stress-missing"),
    }
    required = vocabulary(index).required
    assert set(required) == set(answers)
    for question, answer in answers.items():
        asked = {(f.at, f.code) for f in answer.findings if f.severity == "unknown"}
        assert {(fact.at, fact.code) for fact in required[question]} == asked - either, question


def test_every_fact_that_may_be_taken_as_given_is_told() -> None:
    groups = [each if isinstance(each, tuple) else (each,) for each in vars(facts).values()]
    known = {each for group in groups for each in group if isinstance(each, facts.Assumption)}
    told = vocabulary(shipped_with()).assumed
    assert {(fact.at, fact.value, fact.text) for fact in told} == {
        (fact.at, fact.value, fact.text) for fact in known
    }
    assert len(told) == len(known) > 10
