"""What once stood beside a refusal, and what a second slip once hid, stays mended.

Each file holds a question, and of its answer the verdict, the first code, the codes that refuse or
leave open, the parts of the target, the steps of the working that lead to a reading, and the
sentences that could hold one: `before` as the version of format 1 answered, in its words (null
where it did not have the tool, `problem` where the question was none of its form), `after` as it
must be. `with` are the other codes, `tells` more of the answer. `item` counts as the review of the
trade does that found it, and `note` says what was done of it: made graver, made `kinder`, or
`kept`, since it was settled otherwise.
"""

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest
from msgspec import structs

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.findings import gravest
from catalog.questions import (
    PressTargetQuestion,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from catalog.standing import Standing, Withdrawn
from tests.catalog.rules.test_cases import at
from tests.catalog.synthetic import as_changes, shipped_with
from tests.catalog.whole_item import whole_item

CASES = sorted((Path(__file__).with_name("cases")).glob("*.json"))
WHY = Withdrawn(reason="measured with a wrong gauge", by="lead", on="2026-03-02")
TO_A_READING = {"least force", "gauge reading", "mark to stop at", "never exceed"}
OF_THE_TABLES = {"data.demonstration", "data.memory"}
SAYING = {
    "press.outside-window",
    "press.contact-too-easy",
    "press.contact-too-hard",
    "press.relief-far-above-span",
    "press.relief-above-span",
    "tube.near-size",
}


def answered(case: dict[str, Any]) -> dict[str, Any]:
    rows = dict.fromkeys(case["withdrawn"], WHY)
    tables = shipped_with(as_changes(case.get("rows")))
    index = structs.replace(tables, standing=Standing(rows=rows))
    question = {**case["question"], "detail": "full"}
    asked: Any
    match case["ask"]:
        case "setup-checks":
            asked = setup_check(index, msgspec.convert(question, SetupCheckQuestion))
        case "press-targets":
            asked = press_target(index, msgspec.convert(question, PressTargetQuestion))
        case "tooling-picks":
            return whole_item(tooling_pick(index, msgspec.convert(question, ToolingPickQuestion)))
        case "tube-ratings":
            asked = tube_rating(index, msgspec.convert(question, TubeRatingQuestion))
        case other:
            raise ValueError(other)
    told: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(asked))
    return told


def boiled(answer: dict[str, Any]) -> dict[str, Any]:
    """Answer as a case writes it."""
    target, findings = answer.get("target", {}), answer["findings"]
    found: dict[str, Any]
    against = {f["code"] for f in findings if f["severity"] in {"reject", "unknown"}}
    found = {
        "verdict": answer["verdict"],
        "first": findings[0]["code"],
        "codes": sorted(against),
        "with": sorted({f["code"] for f in findings} - against - OF_THE_TABLES),
    }
    if "ratings" in answer:
        bars = {each["method"]: each["pressure"]["value"] for each in answer["ratings"]}
        return {**found, "ratings": {method: round(bar, 1) for method, bar in bars.items()}}
    found |= {
        # What a target holds for is no number to press to.
        "target": sorted(set(target) - {"conditions"}),
        "working": sorted({step["name"] for step in answer.get("working", ())} & TO_A_READING),
    }
    if "dial" in target:
        found["stop_at"] = target["dial"]["stop_at"]["value"]
    if "never_exceed" in target:
        found["never_exceed"] = target["never_exceed"]["value"]
    if answer.get("pairs"):
        found["first_pair"] = [answer["pairs"][0]["press"], answer["pairs"][0]["gauge"]]
    if says := [f["message"] for f in findings if f["code"] in SAYING]:
        found["says"] = says
    return found


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
def test_a_question_is_answered_as_it_must_be(file: Path) -> None:
    case = json.loads(file.read_text())
    answer = answered(case)
    assert boiled(answer) == case["after"]
    for pointer, value in case.get("tells", {}).items():
        assert at(answer, pointer) == value
    if answer["verdict"] == "undetermined":
        assert answer["next"]["code"] in case["after"]["codes"]


@pytest.mark.parametrize("file", CASES, ids=lambda file: file.stem)
def test_what_was_mended_is_another_answer_and_as_grave_as_its_file_says(file: Path) -> None:
    case = json.loads(file.read_text())
    before, after = case["before"], case["after"]
    assert after != before
    if before is None or "problem" in before:
        return
    graver = gravest((before["verdict"], after["verdict"]))
    match case.get("than_before", "graver"):
        case "graver":
            assert graver == after["verdict"]
        case "kinder":
            assert graver == before["verdict"] != after["verdict"]
        case kept:
            assert kept == "kept"
            assert (after["verdict"], after["codes"]) == (before["verdict"], before["codes"])
