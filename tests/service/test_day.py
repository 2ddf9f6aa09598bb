"""The day is an input: filled in by the service, echoed by the answer."""

import httpx

from tests.service.serving import DAY, press_target


def test_a_setup_check_is_told_the_day(client: httpx.Client) -> None:
    answer = client.post("/v1/setup-checks", json={}).json()
    assert answer["on"] == DAY.isoformat()
    assert "/on" not in answer["next_fields"]
    assert client.post("/v1/setup-checks", json={"on": "2026-09-30"}).json()["on"] == "2026-09-30"


def test_a_press_target_is_told_the_day_with_a_tool_state_only(client: httpx.Client) -> None:
    assert "on" not in client.post("/v1/press-targets", json=press_target()).json()
    state = {"tool_state": {"gauge_calibration_due": "2026-03-01"}}
    answer = client.post("/v1/press-targets", json=press_target(**state)).json()
    assert answer["on"] == DAY.isoformat()
    assert answer["verdict"] == "rejected"
    assert "gauge.calibration-overdue" in {f["code"] for f in answer["findings"]}
