"""The day is an input: filled in by the service beside its own, echoed, and told where fixed."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import httpx
import pytest
from msgspec import structs

from service.app import create_app
from tests.service.serving import DAY, OPEN, press_target, served

LINE = {key: value for key, value in press_target().items() if key in {"tube", "fitting"}}
QUESTIONS: dict[str, dict[str, Any]] = {
    "/v1/press-targets": press_target(),
    "/v1/setup-checks": press_target(),
    "/v1/tooling-picks": {"items": [LINE]},
    "/v1/tube-ratings": {"tube": LINE["tube"]},
}
DATED = [path for path in QUESTIONS if path != "/v1/tube-ratings"]


def codes(answer: dict[str, Any]) -> set[str]:
    parts = (answer, *answer.get("items", ()))
    return {finding["code"] for part in parts for finding in part["findings"]}


def asked(client: httpx.Client, path: str, **more: Any) -> dict[str, Any]:
    response = client.post(path, json={**QUESTIONS[path], **more})
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def days_off(days: int) -> str:
    return (DAY + timedelta(days=days)).isoformat()


@pytest.mark.parametrize("path", DATED)
def test_the_service_fills_its_day_in_and_echoes_it(path: str, client: httpx.Client) -> None:
    answer = asked(client, path)
    assert (answer["on"], answer["received_on"]) == (DAY.isoformat(), DAY.isoformat())
    assert "/on" not in answer.get("next_fields", ())
    answer = asked(client, path, on=days_off(1))
    assert (answer["on"], answer["received_on"]) == (days_off(1), DAY.isoformat())
    assert not codes(answer) & {"request.day-differs", "request.day-far", "data.fixed-day"}


@pytest.mark.parametrize("path", DATED)
@pytest.mark.parametrize(
    ("days", "code"),
    [
        (-2, "request.day-differs"),
        (7, "request.day-differs"),
        (8, "request.day-far"),
        (-8, "request.day-far"),
    ],
)
def test_a_clock_that_is_off_is_told(path: str, days: int, code: str, client: httpx.Client) -> None:
    answer = asked(client, path, on=days_off(days))
    assert codes(answer) & {"request.day-differs", "request.day-far"} == {code}
    if path != "/v1/setup-checks":  # of which more is left open
        verdict = "undetermined" if code == "request.day-far" else "allowed-with-cautions"
        assert answer["verdict"] == verdict


def test_a_far_day_takes_the_readings_out_of_an_answer(client: httpx.Client) -> None:
    assert "dial" in asked(client, "/v1/press-targets", on=days_off(7))["target"]
    target = asked(client, "/v1/press-targets", on=days_off(8))["target"]
    assert set(target) <= {"finish", "insert", "conditions", "force", "force_band"}


def test_an_overdue_gauge_is_rejected_by_the_day_of_the_service(client: httpx.Client) -> None:
    due = {"gauge_calibration_due": days_off(0)}
    answer = asked(client, "/v1/press-targets", tool_state=due)
    assert answer["target"]["dial"]["stop_at"]["value"] == 140
    assert "calibrated was not judged" not in answer["scope"]
    due = {"gauge_calibration_due": days_off(-1)}
    answer = asked(client, "/v1/press-targets", tool_state=due)
    assert (answer["verdict"], "target" in answer) == ("rejected", False)
    assert "gauge.calibration-overdue" in codes(answer)
    # The day after is the day that the question gives, where it gives one.
    assert asked(client, "/v1/press-targets", tool_state=due, on=days_off(-1))["target"]["dial"]


def test_a_press_target_without_a_due_day_says_what_it_did_not_judge(client: httpx.Client) -> None:
    scope = asked(client, "/v1/press-targets")["scope"]
    assert scope.endswith("whether the gauge is calibrated was not judged")


def test_a_pick_drops_the_pairs_of_a_gauge_that_is_overdue(client: httpx.Client) -> None:
    first = asked(client, "/v1/tooling-picks")["items"][0]["pairs"][0]
    assert (first["press"], first["gauge"]) == ("press-a", "gauge-a")
    tools = {
        "gauge-a": {"calibration_due": days_off(-1)},
        "cone-S-16": {"uses_since_check": 12},
    }
    answer = asked(client, "/v1/tooling-picks", tools=tools, detail="full")
    assert answer["tools"] == tools
    (item,) = answer["items"]
    assert "gauge-a" not in {pair["gauge"] for pair in item["pairs"]}
    dropped = [each for each in item["excluded"] if each["gauge"] == "gauge-a"]
    assert dropped
    assert all("gauge.calibration-overdue" in each["codes"] for each in dropped)


@pytest.mark.parametrize("path", QUESTIONS)
@pytest.mark.parametrize("field", ["received_on", "received", "fixed_day"])
def test_nobody_states_the_day_of_the_service(path: str, field: str, client: httpx.Client) -> None:
    response = client.post(path, json={**QUESTIONS[path], field: DAY.isoformat()})
    assert response.status_code == 422
    assert [error["pointer"] for error in response.json()["errors"]] == [f"/{field}"]


@pytest.fixture(scope="module")
def fixed() -> Iterator[httpx.Client]:
    """Service whose setting fixes the day, beside a clock that says another."""
    app = create_app(structs.replace(OPEN, day=DAY), None, lambda: date(2031, 7, 1))
    with served(app=app) as serving:
        yield serving


@pytest.mark.parametrize("path", QUESTIONS)
def test_every_answer_of_a_fixed_day_says_so(path: str, fixed: httpx.Client) -> None:
    answer = asked(fixed, path)
    assert "data.fixed-day" in codes(answer)
    assert path not in DATED or answer["received_on"] == answer["on"] == DAY.isoformat()


def test_a_rejected_answer_of_a_fixed_day_says_so_too(fixed: httpx.Client) -> None:
    answer = asked(fixed, "/v1/press-targets", tube={**LINE["tube"], "coating": "painted"})
    assert answer["verdict"] == "rejected"
    assert "data.fixed-day" in codes(answer)


def test_readiness_says_that_the_day_is_fixed(client: httpx.Client, fixed: httpx.Client) -> None:
    assert fixed.get("/health/ready").json()["fixed_day"] == DAY.isoformat()
    assert "fixed_day" not in client.get("/health/ready").json()


def test_the_same_day_gives_the_same_bytes_and_another_is_told() -> None:
    body = press_target(on=DAY.isoformat(), tool_state={"gauge_calibration_due": days_off(60)})
    days = iter((DAY, DAY, DAY + timedelta(days=1)))
    with served(app=create_app(OPEN, None, lambda: next(days))) as client:
        first, again, later = (client.post("/v1/press-targets", json=body) for _ in range(3))
    assert first.content == again.content
    assert first.headers["Content-Digest"] != later.headers["Content-Digest"]
    assert {**first.json(), "received_on": days_off(1)} == later.json()
