"""The answers that the contract shows are those of the service."""

from typing import Any

import httpx
import pytest
from msgspec import convert

from catalog.revision import revision_of
from catalog.rows import Target
from service.edge.examples import ANSWERS
from tests.contract.recorded import Recorded, active, kept, recorded, written
from tests.service.test_contract import OPERATIONS, SCHEMAS, resolved, schema_errors


@pytest.fixture(scope="module")
def now() -> Recorded:
    return recorded()


def test_what_is_kept_is_what_the_service_answers_now(now: Recorded) -> None:
    kept = {file.name: file.read_bytes() for file in ANSWERS.iterdir()}
    stale = [name for name, content in written(now).items() if kept.get(name) != content]
    assert stale == [], "run `python -m tests.contract.recorded --write`"
    assert kept.keys() == written(now).keys()


def test_every_step_went_as_it_should(now: Recorded) -> None:
    refused = {
        name: example["status"]
        for told in now.values()
        for name, example in told.items()
        if example["status"] >= 400
    }
    assert refused == {
        "60-not-our-form": 422,
        "61-revision-not-stored": 404,
        "62-nothing-asked": 422,
    }
    assert {e["status"] for e in now["propose"].values()} == {201}


@pytest.mark.parametrize("operation", sorted(OPERATIONS))
def test_an_operation_shows_a_question_and_an_answer_of_its_own_form(operation: str) -> None:
    told = OPERATIONS[operation]
    contents: list[dict[str, Any]] = [
        resolved(response).get("content", {}).get("application/json", {})
        for status, response in told["responses"].items()
        if status < "300"
    ]
    contents += [told.get("requestBody", {}).get("content", {}).get("application/json", {})]
    answers, question = contents[:-1], contents[-1]
    if any(answers):
        assert any("examples" in content for content in answers)
    if question:
        assert question["examples"]
    for content in contents:
        for name, example in content.get("examples", {}).items():
            assert schema_errors(content["schema"], example["value"]) == [], name


def test_the_revision_that_is_shown_follows_from_the_question_that_is_shown(now: Recorded) -> None:
    shown = OPERATIONS["propose"]["requestBody"]["content"]["application/json"]["examples"]
    tables = convert(shown["propose"]["value"]["tables"], dict[str, list[Target]])
    made = revision_of({**active().tables, **tables}).id
    assert made == now["propose"]["propose"]["answer"]["revision"]


def test_an_answer_whose_lists_are_cut_says_so() -> None:
    rows = httpx.Response(200, json={"rows": [1, 2, 3]})
    assert kept("a table", rows)["cut"] == "long lists are cut to 2 entries"
    assert "cut" not in kept("a table", httpx.Response(200, json={"rows": [1, 2]}))
    body = {"rows": [1, 2, 3]}
    assert kept("a question", rows, body)["body"] == body
    content = OPERATIONS["vocabulary"]["responses"]["200"]["content"]["application/json"]
    (vocabulary,) = content["examples"].values()
    assert vocabulary["summary"] == "the vocabulary; long lists are cut to 2 entries"
    assert len(vocabulary["value"]["enums"]["verdict"]) == 2


def test_a_problem_is_shown(now: Recorded) -> None:
    assert "ProblemDetails" in SCHEMAS
    assert now["press_target"]["60-not-our-form"]["answer"]["errors"]
