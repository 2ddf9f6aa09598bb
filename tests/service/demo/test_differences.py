"""An answer that is not as expected is told, whatever differs."""

from typing import Any

import pytest

from service.demo.examples import Expected, at, differences

ANSWER: dict[str, Any] = {
    "verdict": "undetermined",
    "findings": [{"code": "press.missing"}],
    "items": [{"findings": [{"code": "tube.wall-missing"}], "cone": "cone-S-16"}],
    "dial": {"value": 140.0, "unit": "bar"},
    "pulsating": True,
}


@pytest.mark.parametrize(
    ("expected", "told"),
    [
        ({"status": 422}, "status 200, expected 422"),
        ({"verdict": "allowed"}, "verdict undetermined, expected allowed"),
        ({"codes": ("press.too-small",)}, "no finding press.too-small"),
        ({"contains": {"/dial/value": 140.1}}, "/dial/value is 140.0, expected 140.1"),
        ({"contains": {"/dial/unit": "psi"}}, "/dial/unit is bar, expected psi"),
        ({"contains": {"/items/1/cone": "cone-S-16"}}, "/items/1/cone is None"),
        ({"contains": {"/pulsating": 1}}, "/pulsating is True, expected 1"),
        ({"contains": {"/dial/value": True}}, "/dial/value is 140.0, expected True"),
        ({"contains": {"/verdict/deeper": "x"}}, "/verdict/deeper is None"),
        ({"absent": ("/dial",)}, "/dial stands there"),
        ({"pointers": ("/tube",)}, "errors at [], expected ['/tube']"),
    ],
)
def test_what_differs_is_told(expected: dict[str, Any], told: str) -> None:
    found = differences(Expected(**{"status": 200, **expected}), 200, ANSWER)
    assert len(found) == 1
    assert found[0].startswith(told)


def test_what_is_as_expected_is_not_told() -> None:
    expected = Expected(
        status=200,
        verdict="undetermined",
        codes=("press.missing", "tube.wall-missing"),
        contains={"/dial/value": 140, "/items/0/cone": "cone-S-16", "/pulsating": True},
        absent=("/target",),
    )
    assert differences(expected, 200, ANSWER) == []


def test_numbers_by_hand_agree_to_a_ten_thousandth() -> None:
    for near in (139.99, 140.01):
        assert differences(Expected(200, contains={"/dial/value": near}), 200, ANSWER) == []
    for off in (139.98, 140.02):
        assert differences(Expected(200, contains={"/dial/value": off}), 200, ANSWER)


def test_a_pointer_finds_what_it_names() -> None:
    assert at(ANSWER, "/items/0/findings/0/code") == "tube.wall-missing"
    assert at(ANSWER, "/items/7") is None
    assert at(ANSWER, "/nowhere/at/all") is None
