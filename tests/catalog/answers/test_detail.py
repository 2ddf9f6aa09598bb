"""Brief and full say the same verdict, findings and numbers; brief fits a phone."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import msgspec
import pytest
from msgspec import UNSET, structs

from catalog.answers.headline import how_far
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.shapes import ForceBand, PressTarget, ReadingBand
from catalog.answers.tooling_pick import PAIRS_IN_BRIEF, tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.quantities import Quantity
from catalog.questions import (
    PressTargetQuestion,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from tests.catalog.rules.single_faults import SINGLE_FAULTS
from tests.catalog.synthetic import CONTROL, asked, shipped_with, synthetic_index

EXAMPLES: Final = Path(__file__).parents[3] / "openapi" / "examples"
ASK: Final[dict[str, tuple[Callable[..., Any], Any]]] = {
    "press_target": (press_target, PressTargetQuestion),
    "setup_check": (setup_check, SetupCheckQuestion),
    "tooling_pick": (tooling_pick, ToolingPickQuestion),
    "tube_rating": (tube_rating, TubeRatingQuestion),
}
OF_FULL: Final = {
    *("assumptions", "working", "workings", "sources", "next_fields"),
    *("excluded", "target", "assembly", "loads"),
}
"""Parts of an answer, and of an item, that brief leaves out; of the last four, in an item alone."""
IN_ITEMS_ALONE: Final = {"excluded", "target", "assembly", "loads"}


def body_of(name: str) -> dict[str, Any]:
    example = json.loads((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    body: dict[str, Any] = {key: value for key, value in example["body"].items() if key != "detail"}
    return body


def answer_to(operation: str, body: dict[str, Any], index: Any = None, **more: Any) -> Any:
    answer, kind = ASK[operation]
    on = {} if operation == "tube_rating" else {"on": "2026-03-02"}
    question = msgspec.convert({**on, **body, **more}, kind)
    return answer(shipped_with() if index is None else index, question)


def told(answer: Any) -> dict[str, Any]:
    decoded: dict[str, Any] = json.loads(msgspec.json.encode(answer))
    return decoded


def size(answer: Any) -> int:
    return len(msgspec.json.encode(answer))


def in_brief(full: Any, *, item: bool = False) -> Any:
    """What brief says, by the full answer."""
    left_out = OF_FULL if item else OF_FULL - IN_ITEMS_ALONE
    found = {name: part for name, part in full.items() if name not in left_out}
    found["findings"] = [
        {name: value for name, value in finding.items() if name not in {"basis", "sources"}}
        for finding in full["findings"]
    ]
    if "items" in full:
        found["items"] = [in_brief(each, item=True) for each in full["items"]]
    if item and "pairs" in full:
        found["pairs"] = full["pairs"][:PAIRS_IN_BRIEF]
    return found


@pytest.mark.parametrize("operation", ASK)
def test_brief_says_what_full_says_of_every_example(operation: str) -> None:
    files = sorted(EXAMPLES.glob("*.json"))
    examples = [json.loads(file.read_text(encoding="utf-8")) for file in files]
    compared = 0
    for example in examples:
        if example["operation"] == operation and example["expect"]["status"] == 200:
            body = {key: value for key, value in example["body"].items() if key != "detail"}
            full = told(answer_to(operation, body, detail="full"))
            assert told(answer_to(operation, body)) == in_brief(full), example["name"]
            assert full != in_brief(full)
            compared += 1
    assert compared >= 1


@pytest.mark.parametrize("operation", ["setup_check", "press_target", "tooling_pick"])
def test_brief_says_what_full_says_of_every_fault(operation: str) -> None:
    fields = {
        "setup_check": set(CONTROL) - {"detail"},
        "press_target": {"tube", "fitting", "press", "gauge", "on", "tool_state"},
        "tooling_pick": {"tube", "fitting", "service"},
    }[operation]
    bodies = []
    for fault in SINGLE_FAULTS:
        changed = asked(CONTROL, dict(fault.set))
        body = {name: part for name, part in changed.items() if name in fields}
        bodies.append({"items": [body]} if operation == "tooling_pick" else body)
    for body in bodies:
        full = told(answer_to(operation, body, synthetic_index(), detail="full"))
        assert told(answer_to(operation, body, synthetic_index())) == in_brief(full)


def test_an_answer_fits_a_phone() -> None:
    assert size(answer_to("press_target", body_of("30-press-target"))) <= 2_500
    assert size(answer_to("press_target", body_of("32-press-target-contact"))) <= 2_500
    assert size(answer_to("setup_check", body_of("21-setup-right"))) <= 5_000
    assert size(answer_to("setup_check", body_of("22-setup-wrong"))) <= 5_000
    assert size(answer_to("setup_check", {})) <= 6_500
    assert size(answer_to("setup_check", body_of("21-setup-right"), detail="full")) <= 18_000
    items = body_of("10-work-order")["items"] * 200
    assert size(answer_to("tooling_pick", {"items": items[:1000]})) <= 1_500_000


def test_headlines_say_what_to_do_or_why_not() -> None:
    lines = {
        "30-press-target": (
            "stop at 140 bar, window 138 to 147, never above 170; cautions to read: 3"
        ),
        "32-press-target-contact": (
            "press until the nut meets the cone, expected at 89.4 to 131 bar, never above 135"
            "; cautions to read: 3"
        ),
        "21-setup-right": (
            "stop at 140 bar, window 138 to 147, never above 170; cautions to read: 2"
        ),
        "22-setup-wrong": "do not press: cut by `wheel-cutter`, which is refused before a ring",
        "20-setup-part": "not settled: enter whether the tube is seamless or how it is welded",
    }
    for name, line in lines.items():
        operation = json.loads((EXAMPLES / f"{name}.json").read_text())["operation"]
        assert answer_to(operation, body_of(name)).headline == line


@pytest.mark.parametrize(
    ("bar", "line"),
    [
        # Never exceed 170, window 138 to 147 bar, stop at 140: none of them beside the refusal.
        (390, "do not press: 390 bar is more than must ever be reached"),
        (150, "do not press: intended reading 150 bar is outside the window"),
        (120, "do not press: intended reading 120 bar is outside the window"),
    ],
)
def test_the_line_of_a_refused_reading_names_no_other(bar: float, line: str) -> None:
    body = {**CONTROL, "intended_reading": {"value": bar, "unit": "bar"}}
    answer = answer_to("setup_check", body)
    assert answer.verdict == "rejected"
    assert answer.headline == line
    assert "140 bar" in " ".join(finding.message for finding in answer.findings)


def test_the_line_counts_every_caution_that_stands_beside_it() -> None:
    # 142 bar lies inside 138 to 147, between the marks 140 and 145: told beside the dial alone.
    body = {**CONTROL, "intended_reading": {"value": 142, "unit": "bar"}}
    answer = answer_to("setup_check", body)
    assert "press.between-graduations" in {finding.code for finding in answer.findings}
    count = sum(finding.severity == "caution" for finding in answer.findings)
    assert answer.headline.endswith(f"; cautions to read: {count}")


def test_the_line_of_a_pick_says_what_the_pressing_takes_and_what_was_not_judged() -> None:
    end = {name: CONTROL[name] for name in ("tube", "fitting")}
    for item, said in (
        ({**end, "service": CONTROL["service"]}, ""),
        (end, ", pressure not rated"),
    ):
        (told,) = answer_to("tooling_pick", {"items": [item]}).items
        assert told.headline.partition(";")[0].endswith(f"press-a with gauge-a{said}")
        assert "insert" not in told.headline
    thin = answer_to("tooling_pick", body_of("10-work-order")).items[1]
    assert thin.insert == "fitted"
    assert thin.headline.startswith("cone-L-12, plate-metric-12, a support insert, press-a with")


CONTACT: Final = {
    "/tube/material": "j524",
    **dict.fromkeys(("/tube/od", "/tube/measured_od"), "0.5 in"),
    "/tube/wall": "0.065 in",
    "/tube/hardness": {"value": 60, "scale": "HRB"},
    "/fitting/series": "flareless",
    "/tooling/cone": "cone-flareless-8",
    "/tooling/plate": "plate-inch-8",
    "/intended_reading": "out",
}


@pytest.mark.parametrize(
    ("stated", "begins"),
    [
        # 21.1 kN +-20 % is 16.88 to 25.32: (16.88 + 1) x 5 = 89.4 to (25.32 + 1) x 5 = 131.6 bar.
        ({"/contact_reading": "89.4 bar"}, "contact made at 89.4 bar: inspect the ring next"),
        ({"/contact_reading": "131.6 bar"}, "contact made at 131.6 bar: inspect the ring next"),
        ({}, "press until the nut meets the cone"),
        # Looked at and put right, it is still to be pressed.
        ({"/contact_reading": "89.3 bar", "/contact_checked": True}, "press until the nut meets"),
        ({"/contact_reading": "131.7 bar", "/contact_checked": True}, "press until the nut meets"),
        ({"/contact_reading": "89.3 bar"}, "not settled: "),
        ({"/contact_reading": "110 bar", "/preparation/deburred_inside": False}, "do not press: "),
    ],
)
def test_a_ring_that_met_its_cone_is_to_be_inspected(stated: dict[str, Any], begins: str) -> None:
    body = asked(CONTROL, {**CONTACT, **stated})
    assert answer_to("setup_check", body, synthetic_index()).headline.startswith(begins)


def test_a_ring_at_pressure_is_pressed_on_from_its_contact() -> None:
    body = asked(CONTROL, {"/contact_reading": "100 bar"})
    answer = answer_to("setup_check", body, synthetic_index())
    assert answer.headline.startswith("stop at 140 bar")


def test_a_force_without_press_and_gauge_is_the_headline() -> None:
    body = {name: CONTROL[name] for name in ("tube", "fitting")}
    # 27.5 kN +-8 %: 25.3 to 29.7 kN.
    assert answer_to("press_target", body).headline == (
        "force 27.5 kN, between 25.3 and 29.7; cautions to read: 2"
    )


def test_a_tube_rating_names_the_lowest() -> None:
    # Barlow: 2 x 85 MPa x 2 / 16 = 21.25 MPa, rounded down; ISO 10763: 85 x ln(16 / 12) = 24.45.
    tube = {name: CONTROL["tube"][name] for name in ("od", "wall", "material")}
    answer = answer_to("tube_rating", {"tube": tube, "methods": ["iso-10763", "barlow"]})
    assert answer.headline == "carries 212 bar, barlow governs; cautions to read: 3"


def line_of(force_kn: float, low_kn: float, high_kn: float, *, contact: bool = False) -> str:
    """Headline of a target with these forces, or with these readings at contact."""
    force, low, high = (Quantity(kn, "kN") for kn in (force_kn, low_kn, high_kn))
    target = PressTarget(
        finish="at-contact" if contact else "at-pressure",
        insert="none",
        force=force,
        force_band=ForceBand(low=low, high=high),
    )
    if contact:
        band = ReadingBand(low=low, high=high)
        target = structs.replace(target, expected_band=band, never_exceed=high)
    return how_far(target)


def test_what_a_headline_tells_of_a_band_is_rounded_in_tens_and_not_in_twos() -> None:
    # By hand: three digits, up at the low end and down at the high one. 1.1, 2.3, 4.6 and 9.63 are
    # no binary fractions.
    assert line_of(2.0, 1.1, 2.3) == "force 2 kN, between 1.1 and 2.3"
    assert line_of(10.7, 9.63, 11.77) == "force 10.7 kN, between 9.63 and 11.7"
    assert line_of(3.0, 1.111, 4.6) == "force 3 kN, between 1.12 and 4.6"
    for hundredths in range(100, 1000):
        end_kn = hundredths / 100
        assert line_of(11.0, end_kn, 12.5) == f"force 11 kN, between {end_kn:g} and 12.5"
        assert line_of(0.9, 0.5, end_kn) == f"force 0.9 kN, between 0.5 and {end_kn:g}"


def test_a_narrow_band_is_told_with_as_many_digits_as_it_takes() -> None:
    # 139.4 up is 140 and 139.8 down 139: no force lies between them.
    assert line_of(139.6, 139.4, 139.8) == "force 139.6 kN, between 139.4 and 139.8"
    met = line_of(139.6, 139.42, 139.87, contact=True)
    assert met.endswith("expected at 139.5 to 139.8 kN, never above 139.8")


def test_no_headline_widens_a_window() -> None:
    """By every pair of the shop, and every dial: rounding goes inward."""
    index, seen = shipped_with(), 0
    for press, gauge in index.pairs:
        for unit in ("16", "20"):
            od = float(unit)
            tube = {"od": {"value": od, "unit": "mm"}, "wall": {"value": 2, "unit": "mm"}}
            body = {
                "tube": {**tube, "material": "e235-n"},
                "fitting": CONTROL["fitting"],
                "press": press.id,
                "gauge": gauge.id,
            }
            answer = answer_to("press_target", body)
            if answer.target is UNSET or answer.target.dial is UNSET:
                continue
            if answer.next is not UNSET:
                continue
            seen += 1
            dial, words = (
                answer.target.dial,
                answer.headline.replace(",", "").replace(";", "").split(),
            )
            low, high, limit = float(words[5]), float(words[7]), float(words[10])
            assert dial.low.value <= low <= dial.stop_at.value <= high <= dial.high.value
            assert limit <= answer.target.never_exceed.value
    assert seen >= 5


def test_what_is_said_of_the_data_stands_once_and_counts_for_each_item() -> None:
    end = {name: CONTROL[name] for name in ("tube", "fitting")}
    served = {**end, "service": {**CONTROL["service"]}}
    del served["service"]["fluid"]
    bare = {**end, "fitting": {k: v for k, v in end["fitting"].items() if k != "ring_condition"}}
    answer = answer_to("tooling_pick", {"items": [end, bare, served]}, detail="full")
    assert {item.verdict for item in answer.items} == {"allowed-with-cautions"}
    for item in answer.items:
        assert not any(finding.code.startswith("data.") for finding in item.findings)
    codes = [finding.code for finding in answer.findings]
    assert sorted(codes) == ["data.assumed", "data.demonstration", "data.memory"]
    assumed = next(each for each in answer.findings if each.code == "data.assumed")
    assert "the ring has not been pressed before" in assumed.message
    assert "the fluid is mineral oil" in assumed.message
    alone = [answer_to("tooling_pick", {"items": [one]}, detail="full") for one in (end, served)]
    rows = {
        row for one in alone for f in one.findings if f.code == "data.memory" for row in f.basis
    }
    told_once = next(each for each in answer.findings if each.code == "data.memory")
    assert set(told_once.basis) == rows


def test_each_different_working_is_told_once() -> None:
    end = {name: CONTROL[name] for name in ("tube", "fitting")}
    thin = asked(end, {"/tube/wall": "2.5 mm"})
    answer = answer_to("tooling_pick", {"items": [end, thin, end]}, detail="full")
    assert [item.working for item in answer.items] == [0, 1, 0]
    assert len(answer.workings) == 2
