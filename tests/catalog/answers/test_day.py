"""What the day and the tools of a pick find stands beside every other fault, and no dial number."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import msgspec
import pytest

from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.questions import Received, SetupCheckQuestion, ToolingPickQuestion
from tests.catalog.pairs.judge import DIAL_KEYS, VERDICTS
from tests.catalog.synthetic import CONTROL, asked, in_full, synthetic_index
from tests.catalog.whole_item import whole_item

DAY = "2026-03-02"
TODAY = Received(on=date(2026, 3, 2))
FAR = Received(on=date(2026, 3, 10), fixed=True)
GAUGES = tuple(synthetic_index().gauges)
LINE = {
    "tube": CONTROL["tube"],
    "fitting": CONTROL["fitting"],
    "service": CONTROL["service"],
    "quantity": 3,
}
FAULTS: dict[str, dict[str, Any]] = {
    "tube.coating": {"/tube/coating": "painted"},
    "fitting.ring-reused": {"/fitting/ring_condition": "used"},
    "service.over-tube-rating": {"/service/working_pressure": "250 bar"},
    "service.temperature-missing": {"/service/temperature": "out"},
    "fitting.mixed-sources": {"/fitting/nut_source": "store 5"},
    "tube.od-missing": {"/tube/od": "out"},
}
USED_UP = {"uses_since_check": 40}
DATED: dict[str, tuple[dict[str, Any], Received]] = {
    "request.day-far": ({}, FAR),
    "tooling.cone-check-overdue": ({"cone-S-16": USED_UP, "cone-S-16-steel": USED_UP}, TODAY),
    "press.no-pair": ({gauge: {"calibration_due": "2026-03-01"} for gauge in GAUGES}, TODAY),
    "gauge.unknown": ({"gauge-9": {"calibration_due": "2026-03-01"}}, TODAY),
}
OF_THE_SIZE = {"tooling.cone-check-overdue", "press.no-pair"}
"""Found of a cone and of pairs, which no pick without an od has."""


def picked(item: dict[str, Any], tools: dict[str, Any], received: Received) -> dict[str, Any]:
    question = in_full({"items": [item], "on": DAY, "tools": tools}, ToolingPickQuestion)
    return whole_item(tooling_pick(synthetic_index(), question, received))


def codes(answer: dict[str, Any]) -> set[str]:
    return {finding["code"] for finding in answer["findings"]}


def keys_in(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield from value
        value = tuple(value.values())
    if isinstance(value, list | tuple):
        for each in value:
            yield from keys_in(each)


def worse(*answers: dict[str, Any]) -> Any:
    return max((answer["verdict"] for answer in answers), key=VERDICTS.index)


@pytest.mark.parametrize("dated", DATED)
@pytest.mark.parametrize("fault", FAULTS)
def test_neither_of_two_faults_of_a_pick_hides_the_other(fault: str, dated: str) -> None:
    tools, received = DATED[dated]
    alone = picked(asked(LINE, FAULTS[fault]), {}, TODAY)
    of_day = picked(LINE, tools, received)
    both = picked(asked(LINE, FAULTS[fault]), tools, received)
    assert (fault in codes(alone), dated in codes(of_day)) == (True, True)
    assert fault in codes(both)
    if fault != "tube.od-missing" or dated not in OF_THE_SIZE:
        assert dated in codes(both)
        assert both["verdict"] == worse(alone, of_day)
    assert both["verdict"] in {"undetermined", "rejected"}
    for answer in (of_day, both):
        assert not set(keys_in(answer)) & DIAL_KEYS
        assert "gauge reading" not in {step["name"] for step in answer["working"]}


@pytest.mark.parametrize("fault", [fault for fault in FAULTS if fault != "tube.od-missing"])
def test_a_far_day_and_a_fault_of_a_setup_are_both_told(fault: str) -> None:
    question = msgspec.convert(asked(CONTROL, FAULTS[fault]), SetupCheckQuestion)
    answer = msgspec.to_builtins(setup_check(synthetic_index(), question, received=FAR))
    assert {fault, "request.day-far", "data.fixed-day"} <= codes(answer)
    assert not set(keys_in(answer)) & DIAL_KEYS


@pytest.mark.parametrize("gauge", GAUGES)
def test_an_overdue_gauge_is_as_good_as_none(gauge: str) -> None:
    index = synthetic_index()
    fewer = tuple(
        ("presses", press.id, (("gauges", tuple(g for g in press.gauges if g != gauge)),))
        for press in index.presses.values()
    )
    question = in_full({"items": [LINE], "on": DAY}, ToolingPickQuestion)
    without = whole_item(tooling_pick(synthetic_index(fewer), question))
    overdue = picked(LINE, {gauge: {"calibration_due": "2026-03-01"}}, TODAY)
    assert overdue["pairs"] == without["pairs"]
    assert overdue["target"] == without["target"]
    rest = [each for each in overdue["excluded"] if each["gauge"] != gauge]
    assert rest == without["excluded"]
    dropped = [each["codes"] for each in overdue["excluded"] if each["gauge"] == gauge]
    assert len(dropped) == sum(gauge in press.gauges for press in index.presses.values())
    assert all(each[-1] == "gauge.calibration-overdue" for each in dropped)


def test_what_is_remembered_knows_no_day() -> None:
    tools = {gauge: {"calibration_due": "2026-03-01"} for gauge in GAUGES}
    before = picked(LINE, {}, TODAY)
    assert "pairs" not in picked(LINE, tools, TODAY)
    assert picked(LINE, {}, TODAY) == before
