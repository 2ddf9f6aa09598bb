"""Every case of the bench, on a catalog in which only what the case changes can be wrong."""

from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import msgspec
import pytest
import yaml

from catalog.answers.picking import picked
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tube_rating import tube_rating
from catalog.findings import CODES
from catalog.index import Index
from catalog.questions import (
    AnswerUnits,
    PickItem,
    PressTargetQuestion,
    Received,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from catalog.rules import BASE_RULES, PAIR_RULES, RULES, Groups
from catalog.rules.group import Group
from catalog.rules.raised import Raised
from catalog.rules.tube_rating import TUBE_RATING_RULES, TubeRatingRule
from catalog.setup.day import pick_day
from tests.catalog.rules.basis import BASIS
from tests.catalog.synthetic import CONTROL, as_changes, asked, shipped_with, synthetic_index

OF_STANDING = {
    *("revision.withdrawn", "revision.superseded", "revision.not-active-yet"),
    "data.stale",
}
"""Raised by what is said of a revision, not by its tables: the tests of standings raise them."""
DECISIVE = {"reject", "unknown"}


@cache
def cases() -> tuple[dict[str, Any], ...]:
    return tuple(
        {"file": file.stem, **case}
        for file in sorted((Path(__file__).parent / "cases").glob("*.yaml"))
        for case in yaml.load(file.read_text(encoding="utf-8"), yaml.CSafeLoader)
    )


def index_of(case: dict[str, Any]) -> Index:
    make = shipped_with if case.get("index") == "shipped" else synthetic_index
    return make(as_changes(case.get("rows")))


def answer_to(
    case: dict[str, Any],
    rules: Groups = RULES,
    base: Groups = BASE_RULES,
    pair: Groups = PAIR_RULES,
    rating: Sequence[TubeRatingRule] = TUBE_RATING_RULES,
) -> dict[str, Any]:
    """Answer as its JSON says it."""
    index = index_of(case)
    question = asked(case.get("start", CONTROL), case.get("set"))
    if case.get("ask") != "tooling-pick":
        question.setdefault("detail", "full")
    on_day = dict(case.get("day", {}))
    received = received_of(on_day)
    answer: Any
    match case.get("ask", "setup-check"):
        case "setup-check":
            answer = setup_check(
                index, msgspec.convert(question, SetupCheckQuestion), rules, received
            )
        case "press-target":
            answer = press_target(
                index, msgspec.convert(question, PressTargetQuestion), rules, received
            )
        case "tooling-pick":
            item = msgspec.convert(question, PickItem)
            day = pick_day(
                index, msgspec.convert({"items": [item], **on_day}, ToolingPickQuestion), received
            )
            answer = picked(index, item, AnswerUnits(), base, pair, day)
        case "tube-rating":
            answer = tube_rating(
                index, msgspec.convert(question, TubeRatingQuestion), rating, received
            )
        case other:
            raise ValueError(other)
    told: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(answer))
    return told


def received_of(on_day: dict[str, Any]) -> Received | None:
    """Day received that a case states, taken out of what its question says of the day."""
    received, fixed = on_day.pop("received", None), on_day.pop("fixed", False)
    return None if received is None else Received(on=received, fixed=fixed)


def at(answer: Any, pointer: str) -> Any:
    for part in pointer[1:].split("/"):
        if isinstance(answer, list):
            answer = answer[int(part)] if int(part) < len(answer) else None
        else:
            answer = None if answer is None else answer.get(part)
    return answer


def faults_in(case: dict[str, Any], answer: dict[str, Any]) -> list[str]:
    """Where an answer is not what the case says."""
    codes = {finding["code"] for finding in answer["findings"]}
    decisive = {code for code in codes if CODES[code].severity in DECISIVE}
    found = []
    if answer["verdict"] != case["verdict"]:
        found.append(f"verdict {answer['verdict']}, not {case['verdict']}: {sorted(codes)}")
    if decisive != set(case["codes"]):
        found.append(f"decided by {sorted(decisive)}, not {sorted(case['codes'])}")
    found += [f"no {code}" for code in case.get("with", ()) if code not in codes]
    found += [f"{code} raised" for code in case.get("without", ()) if code in codes]
    for code, words in case.get("says", {}).items():
        told_by = [f["message"] for f in answer["findings"] if f["code"] == code]
        if not any(words in message for message in told_by):
            found.append(f"{code} says {told_by}, not `{words}`")
    for pointer, value in case.get("numbers", {}).items():
        told = at(answer, pointer)
        exact = not isinstance(value, int | float) or told is None
        if told != (value if exact else pytest.approx(value, rel=1e-5, abs=5e-3)):
            found.append(f"{pointer} is {told}, by hand {value}")
    return found


def name_of(case: dict[str, Any]) -> str:
    return f"{case['file']}: {case['name']}"


def flawed(case: dict[str, Any]) -> Any:
    """The case, expected to fail where it names a flaw that is not mended yet."""
    marks = [pytest.mark.xfail(reason=case["flaw"])] if "flaw" in case else []
    return pytest.param(case, id=name_of(case), marks=marks)


@pytest.mark.parametrize("case", [flawed(case) for case in cases()])
def test_case(case: dict[str, Any]) -> None:
    answer = answer_to(case)
    assert faults_in(case, answer) == []
    assert_nothing_to_press_to(answer)
    assert_rows_named(answer)


READING = {
    "press.reading-missing",
    "press.reading-unit",
    "press.outside-window",
    "press.above-ceiling",
}


def assert_nothing_to_press_to(answer: dict[str, Any]) -> None:
    """Beside what forbids pressing stands no number to press to, unless the reading is all."""
    against = [f for f in answer["findings"] if f["severity"] in DECISIVE]
    if all(f["code"] in READING and f["at"] == "/intended_reading" for f in against):
        return
    if answer["verdict"] == "rejected":
        assert "target" not in answer
    else:
        told = set(answer.get("target", ()))
        assert told <= {"finish", "insert", "conditions", "force", "force_band"}
    assert "loads" not in answer


def assert_rows_named(answer: dict[str, Any]) -> None:
    """A finding names the rows whose numbers it tells, so that they can be looked up and mended."""
    for finding in answer["findings"]:
        tables = {row.partition("/")[0] for row in finding.get("basis", ())}
        assert tables >= BASIS.get(finding["code"], frozenset()), finding


def test_every_code_is_raised_by_a_case() -> None:
    raised: set[str] = set()
    for case in cases():
        raised |= {*case["codes"], *case.get("with", ())}
    assert raised == set(CODES) - OF_STANDING


RIGHT = tuple(case for case in cases() if "flaw" not in case)


Rule = Callable[[Any], Iterator[Raised]]
EVERY_RULE: tuple[Rule, ...] = tuple(rule for group in RULES for rule in group.rules)


def each_rule(change: Callable[[Rule], Rule | None]) -> tuple[Groups, Groups, Groups]:
    """Groups with each rule changed, or left out where nothing is taken for it."""

    def changed(group: Group[Any]) -> Group[Any]:
        return Group(group.over, tuple(new for rule in group.rules if (new := change(rule))))

    rules, base, pair = (tuple(map(changed, groups)) for groups in (RULES, BASE_RULES, PAIR_RULES))
    return rules, base, pair


@cache
def raising() -> dict[Rule, list[dict[str, Any]]]:
    """Right cases in which a rule raises anything: in the others it changes nothing to leave it."""
    found: dict[Rule, list[dict[str, Any]]] = {rule: [] for rule in EVERY_RULE}
    for case in RIGHT:
        heard: dict[Rule, None] = {}

        def hearing(rule: Rule, heard: dict[Rule, None] = heard) -> Rule:
            def listened(subject: Any) -> Iterator[Raised]:
                for raised in rule(subject):
                    heard[rule] = None
                    yield raised

            return listened

        answer_to(case, *each_rule(hearing))
        for rule in heard:
            found[rule].append(case)
    return found


@pytest.mark.parametrize("rule", EVERY_RULE, ids=lambda rule: f"{rule.__module__}.{rule.__name__}")
def test_a_rule_switched_off_turns_a_case_red(rule: Rule) -> None:
    def others(each: Rule) -> Rule | None:
        return None if each is rule else each

    without = each_rule(others)
    assert any(faults_in(case, answer_to(case, *without)) for case in raising()[rule])


@pytest.mark.parametrize("rule", TUBE_RATING_RULES, ids=lambda rule: rule.__name__)
def test_a_rating_rule_switched_off_turns_a_case_red(rule: TubeRatingRule) -> None:
    rules = [each for each in TUBE_RATING_RULES if each is not rule]
    of_rating = [case for case in RIGHT if case.get("ask") == "tube-rating"]
    assert any(faults_in(case, answer_to(case, rating=rules)) for case in of_rating)


def test_names_are_unique() -> None:
    names = [name_of(case) for case in cases()]
    assert len(set(names)) == len(names)
