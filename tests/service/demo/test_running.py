"""The demonstration fails where an answer is not as expected, and hides nothing."""

import json
from typing import Any

import pytest
from msgspec import structs
from rich.console import Console

from service.demo import running
from service.demo.examples import examples
from service.demo.telling import tell_answer


@pytest.fixture(autouse=True)
def published(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many steps of the publication go wrong; its own walk is in `test_cli_demo`."""
    wrong = [0]
    monkeypatch.setattr(running, "publish", lambda *_: wrong[0])
    return wrong


def test_an_answer_that_is_not_as_expected_fails_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    right = examples()["30-press-target"]
    by_hand = {"/target/dial/stop_at/value": 145}
    wrong = structs.replace(right, expect=structs.replace(right.expect, contains=by_hand))
    monkeypatch.setattr(running, "examples", lambda: {"right": right, "wrong": wrong})
    assert running.demonstrate(0, once=True) == 1
    said = capsys.readouterr().out
    assert said.count("NOT AS EXPECTED") == 1
    assert "NOT AS EXPECTED: /target/dial/stop_at/value is 140.0, expected 145" in said
    assert "2 questions and one publication over HTTP, 1 not as expected" in said


@pytest.mark.parametrize("wrong", [0, 1])
def test_a_step_of_the_publication_that_is_not_as_expected_fails_it(
    monkeypatch: pytest.MonkeyPatch, published: list[int], wrong: int
) -> None:
    right = examples()["30-press-target"]
    monkeypatch.setattr(running, "examples", lambda: {"right": right})
    published[0] = wrong
    assert running.demonstrate(0, once=True) == wrong


def test_no_examples_at_all_fail_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running, "examples", dict)
    assert running.demonstrate(0, once=True) == 1


def told(answer: dict[str, Any], **options: Any) -> str:
    console = Console(width=100, highlight=False, markup=False, emoji=False, **options)
    with console.capture() as captured:
        tell_answer(console, answer)
    return captured.get()


def finding(code: str, severity: str, message: str) -> dict[str, Any]:
    return {"code": code, "severity": severity, "message": message, "remedy": f"mend {code}"}


def test_every_finding_is_told_with_its_remedy() -> None:
    found = [
        finding("tube.coating", "reject", "coated [/bold] `painted`"),
        finding("press.missing", "unknown", "press is not stated"),
        finding("gauge.calibration-due", "caution", "due in 3 days"),
        finding("hint.psi-as-bar", "note", "2000 looks like psi"),
    ]
    said = told({"verdict": "rejected", "headline": "do not press", "findings": found})
    for mark, each in zip(("NO", "?", "!", "i"), found, strict=True):
        assert f"  {mark:<2} {each['code']}: {each['message']}" in said
        assert f"     {each['remedy']}" in said


def test_what_two_lines_share_is_told_once_and_what_differs_twice() -> None:
    shared = finding("data.memory", "caution", "rests on memory")
    item = {"verdict": "rejected", "headline": "do not press"}
    items = [
        {**item, "findings": [shared, finding("tube.coating", "reject", "painted")]},
        {**item, "findings": [shared, finding("tube.coating", "reject", "galvanised")]},
    ]
    said = told({"verdict": "rejected", "findings": [], "items": items})
    assert said.count("rests on memory") == 1
    assert "as above: data.memory" in said
    assert "painted" in said
    assert "galvanised" in said


def test_a_terminal_is_told_the_verdict_in_colour() -> None:
    answer = {"verdict": "rejected", "headline": "do not press", "findings": []}
    assert "\x1b[1;31mrejected" in told(answer, force_terminal=True, color_system="standard")
    assert "\x1b" not in told(answer)


def test_the_line_to_try_is_one_that_a_shell_understands() -> None:
    line = running.curl_line("http://localhost:8080", "/v1/press-targets", {"press": "press-b"})
    assert json.loads(line.split("-d '")[1].removesuffix("'")) == {"press": "press-b"}
    assert "\n" not in line
