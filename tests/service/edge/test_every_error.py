"""The walk that tells every error agrees with the decoder, whatever is wrong and wherever."""

import copy
import json
from datetime import timedelta
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.questions import (
    PressTargetQuestion,
    Question,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from service.edge.decoding import decoded
from service.edge.problems import ProblemError
from tests.service.serving import mm

FULL: dict[type[Question], dict[str, Any]] = {
    SetupCheckQuestion: {
        "tube": {
            "od": mm(16),
            "wall": mm(2),
            "material": "e235-n",
            "measured_od": mm(16.02),
            "caliper_uncertainty": mm(0),
            "identified_by": "marking",
            "seam": "seamless",
            "coating": "none",
            "hardness": {"value": 75, "scale": "HRB"},
            "insert": "none",
            "bend": "near-end",
            "straight_length": mm(60),
            "bends": [{"radius": mm(48)}],
        },
        "fitting": {
            "series": "S",
            "ring_style": "metal",
            "other_end": "rated",
            "other_end_rating": {"value": 9, "unit": "psi"},
        },
        "service": {"temperature": {"value": -40, "unit": "degC"}, "pulsating": True},
        "preparation": {"lubricated": ["ring", "cone"], "out_of_square": mm(1) | {"unit": "deg"}},
        "on": "2026-03-02",
        "tool_state": {"cone_uses_since_check": 12, "gauge_calibration_due": "2026-09-30"},
        "answer_in": {"pressure": "psi"},
        "revision": "sha256:" + "0" * 64,
        "client_ref": "a",
    },
    PressTargetQuestion: {"tube": {"od": mm(16)}, "press": "press-a", "on": "2026-01-01"},
    ToolingPickQuestion: {
        "items": [
            {"tube": {"od": mm(16)}, "quantity": 4},
            {"fitting": {"series": "L"}, "service": {"fluid": "gas"}},
        ]
    },
    TubeRatingQuestion: {
        "tube": {"od": mm(16), "wall": mm(2)},
        "methods": ["lame", "barlow"],
        "wall_under_tolerance_percent": 10,
    },
}

WRONG = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["", "16", "mm", "S", "2026-13-01", "x" * 130, "no-bend", "null"]),
    st.lists(st.sampled_from(["ring", 1, None]), max_size=8),
    st.dictionaries(st.sampled_from(["value", "unit", "od", "~/"]), st.integers(), max_size=3),
)


def places(value: Any, at: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every place in a JSON value."""
    found = [at]
    if isinstance(value, dict):
        for name, each in value.items():
            found += places(each, (*at, name))
    if isinstance(value, list):
        for number, each in enumerate(value):
            found += places(each, (*at, number))
    return found


def changed(value: Any, at: tuple[str | int, ...], new: Any) -> Any:
    if not at:
        return new
    value = copy.deepcopy(value)
    inner = value
    for step in at[:-1]:
        inner = inner[step]
    inner[at[-1]] = new
    return value


@st.composite
def spoilt(draw: st.DrawFn) -> tuple[type[Question], Any]:
    """A question with one place overwritten, or one field added."""
    kind = draw(st.sampled_from(sorted(FULL, key=lambda k: k.__name__)))
    at = draw(st.sampled_from(places(FULL[kind])))
    if draw(st.booleans()):
        return kind, changed(FULL[kind], at, draw(WRONG))
    name = draw(st.sampled_from(["wal", "a/b~c", "OD", "", "unit "]))
    target: Any = FULL[kind]
    for step in at:
        target = target[step]
    return kind, changed(FULL[kind], (*at, name), 1) if isinstance(target, dict) else FULL[kind]


def whole_where_it_can_be(text: str) -> int | float:
    number = float(text)
    return int(number) if number.is_integer() else number


def errors(kind: type[Question], value: Any) -> dict[str, str]:
    try:
        decoded(msgspec.json.encode(value), kind)
    except ProblemError as problem:
        refused = problem
    else:
        return {}
    assert refused.kind == "not-our-form"
    return {error.pointer: error.detail for error in refused.errors}


def resolves(value: Any, pointer: str) -> bool:
    """Whether a JSON pointer (RFC 6901) names a place of this value."""
    for part in pointer.split("/")[1:]:
        name = part.replace("~1", "/").replace("~0", "~")
        if isinstance(value, dict) and name in value:
            value = value[name]
        elif isinstance(value, list) and name.isdigit() and int(name) < len(value):
            value = value[int(name)]
        else:
            return False
    return True


@given(spoilt())
@settings(max_examples=1000, deadline=timedelta(seconds=5))
def test_what_the_decoder_refuses_has_an_error_at_a_true_place(
    made: tuple[type[Question], Any],
) -> None:
    kind, value = made
    try:
        msgspec.convert(value, kind, strict=True)
        refused = False
    except msgspec.ValidationError:
        refused = True
    told = errors(kind, value)
    if not refused:
        assert told == {}
        return
    for pointer, detail in told.items():
        assert resolves(value, pointer) or detail.startswith("is missing"), (pointer, detail)
    # A whole number written as a fraction is the one thing that is right here and wrong there.
    if told == {}:
        whole = json.loads(json.dumps(value), parse_float=whole_where_it_can_be)
        msgspec.convert(whole, kind, strict=True)


@pytest.mark.parametrize("kind", list(FULL))
def test_the_questions_spoilt_here_are_right_before(kind: type[Question]) -> None:
    assert errors(kind, FULL[kind]) == {}


@given(st.data())
@settings(max_examples=200, deadline=timedelta(seconds=5))
def test_two_errors_are_both_told(data: st.DataObject) -> None:
    # Every leaf of a full question is overwritten by what no field takes; two at a time.
    value = FULL[SetupCheckQuestion]
    inner = [at for at in places(value) if at]
    leaves = [at for at in inner if not any(b[: len(at)] == at and b != at for b in inner)]
    first, second = data.draw(
        st.lists(st.sampled_from(leaves), min_size=2, max_size=2, unique=True)
    )
    told = errors(SetupCheckQuestion, changed(changed(value, first, {}), second, {}))
    for at in (first, second):
        pointer = "/" + "/".join(str(part) for part in at)
        assert any(p == pointer or p.startswith(pointer + "/") for p in told), (pointer, told)
