"""Every committed example, asked of the real service over real HTTP."""

import json
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from msgspec import structs

from service.demo.examples import differences, examples
from service.demo.running import DAY
from service.edge.examples import EXAMPLES as FOLDER
from tests.service.serving import OPEN, served

EXAMPLES = examples()
PUBLISHING = {
    "revisions",
    "revision",
    "table",
    "diff",
    "catalog_file",
    "workbook",
    "propose",
    "report",
    "whole_report",
    "report_page",
    "approve",
    "withdraw",
    "items_impact",
    "active",
    "activate",
    "activations",
    "withdrawals",
    "audit",
}
"""Steps that follow from each other: the demonstration walks through them itself."""
CONTRACT = json.loads((FOLDER.parent / "openapi.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def client() -> Iterator[httpx.Client]:
    """Service of the demonstration's day, as the demonstration serves it."""
    with served(structs.replace(OPEN, day=DAY)) as serving:
        yield serving


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_is_answered_as_it_expects(name: str, client: httpx.Client) -> None:
    example = EXAMPLES[name]
    response = client.request(example.method, example.path, json=example.body)
    assert differences(example.expect, response.status_code, response.json()) == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_asks_an_operation_of_the_contract(name: str) -> None:
    example = EXAMPLES[name]
    operation = CONTRACT["paths"][example.path][example.method.lower()]
    assert operation["operationId"] == example.operation
    assert str(example.expect.status) in operation["responses"]


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_expects_something_that_could_fail(name: str) -> None:
    expected = EXAMPLES[name].expect
    nothing = differences(expected, 599, {})
    assert any("status 599" in each for each in nothing)
    if expected.status == 200:
        assert len(nothing) > 1


def test_every_question_of_the_bench_has_an_example() -> None:
    asked = {example.operation for example in EXAMPLES.values()}
    questions = {
        operation["operationId"]
        for path, methods in CONTRACT["paths"].items()
        if path.startswith("/v1/")
        for operation in methods.values()
    }
    assert asked == questions - PUBLISHING
    assert questions >= PUBLISHING


def test_an_example_is_asked_for_no_day() -> None:
    # Copied into a client it must ask for today; here the day is that of the demonstration.
    checks = [e.body for e in EXAMPLES.values() if e.operation == "setup_check"]
    assert checks
    for body in checks:
        assert body is not None
        assert "tool_state" in body
    assert not [name for name, each in EXAMPLES.items() if "on" in (each.body or {})]


def test_a_body_in_a_file_of_its_own_is_that_of_its_example() -> None:
    bodies = {file.stem: file.read_bytes() for file in (FOLDER / "questions").iterdir()}
    assert len(bodies) >= 3
    assert {n: json.loads(b) for n, b in bodies.items()} == {n: EXAMPLES[n].body for n in bodies}


def test_a_file_that_is_no_example_is_refused(tmp_path: Path) -> None:
    good = json.loads((FOLDER / "30-press-target.json").read_text(encoding="utf-8"))
    good["expect"]["verdikt"] = "allowed"
    tmp_path.joinpath("1.json").write_text(json.dumps(good), encoding="utf-8")
    with pytest.raises(ValueError, match="verdikt"):
        examples(tmp_path)
