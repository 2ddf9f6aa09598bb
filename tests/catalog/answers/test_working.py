"""Every number of an answer has its working, and every input of a step is what it says it is."""

import re
from typing import Any

import msgspec
import pytest

from catalog.answers.picking import picked
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tube_rating import tube_rating
from catalog.formulas import FORMULAS
from catalog.quantities import FACTOR
from catalog.questions import (
    AnswerUnits,
    PickItem,
    PressTargetQuestion,
    SetupCheckQuestion,
    TubeRatingQuestion,
)
from catalog.rows import AnyRow
from catalog.seed import shipped_revision
from tests.catalog.synthetic import CONTROL, asked, in_full, shipped_with

TUBE = {name: CONTROL["tube"][name] for name in ("od", "wall", "material")}
IN_INCHES = {"length": "in", "pressure": "psi", "force": "lbf", "temperature": "degF"}
CONTACT = {
    "/tube/od": "0.625 in",
    "/tube/wall": "0.065 in",
    "/tube/material": "j524",
    "/tube/measured_od": "0.625 in",
    "/fitting/series": "flareless",
    "/tooling/cone": "cone-flareless-10",
    "/tooling/plate": "plate-inch-10",
    "/intended_reading": "out",
    "/service/working_pressure": "100 bar",
    "/service/peak_pressure": "100 bar",
}
ALL_METHODS = [
    "barlow",
    "boardman",
    "lame",
    "iso-10763",
    "din-2413-static",
    "din-2413-pulsating",
    "asme-b31.3",
]
SMALL: dict[str, Any] = {
    "tube": {**TUBE, "od": {"value": 6, "unit": "mm"}, "wall": {"value": 1, "unit": "mm"}},
    "methods": ALL_METHODS,
    "pressure": {"value": 150, "unit": "bar"},
}
QUESTIONS: dict[str, tuple[str, dict[str, Any]]] = {
    "setup": ("setup-check", CONTROL),
    "setup, pulsating": ("setup-check", asked(CONTROL, {"/service/pulsating": True})),
    "setup, corroded": (
        "setup-check",
        asked(CONTROL, {"/service/corrosion_allowance": "0.1 mm"}),
    ),
    "setup in inches": ("setup-check", asked(CONTROL, {"/answer_in": IN_INCHES})),
    "setup on a psi dial": (
        "setup-check",
        asked(
            CONTROL,
            {"/gauge": "gauge-psi", "/intended_reading": "2050 psi"},
        ),
    ),
    "setup at contact": ("setup-check", asked(CONTROL, CONTACT)),
    "press target": (
        "press-target",
        {"tube": TUBE, "fitting": CONTROL["fitting"], "press": "press-c", "gauge": "gauge-c"},
    ),
    "force alone": ("press-target", {"tube": TUBE, "fitting": CONTROL["fitting"]}),
    "pick": (
        "tooling-pick",
        {"tube": TUBE, "fitting": CONTROL["fitting"], "service": CONTROL["service"]},
    ),
    "rating": ("tube-rating", {"tube": TUBE, "methods": ALL_METHODS}),
    "rating with a pressure": (
        "tube-rating",
        {
            "tube": TUBE,
            "methods": ALL_METHODS,
            "pressure": {"value": 150, "unit": "bar"},
            "corrosion_allowance": {"value": 0.1, "unit": "mm"},
        },
    ),
    "rating of a wall of which DIN 2413 counts less": ("tube-rating", SMALL),
    "rating of a wall of which the tolerance leaves less": (
        "tube-rating",
        asked(SMALL, {"/tube/od": "8 mm", "/tube/wall": "0.5 mm"}),
    ),
    "rating with a tolerance stated": (
        "tube-rating",
        {**SMALL, "wall_under_tolerance_percent": 18},
    ),
    "setup of a weld, pulsating": (
        "setup-check",
        asked(CONTROL, {"/tube/quality_factor": 0.9, "/service/pulsating": True}),
    ),
    "setup of a thin wall, pulsating": (
        "setup-check",
        asked(
            CONTROL,
            {"/tube/od": "8 mm", "/tube/wall": "0.5 mm", "/service/pulsating": True},
        ),
    ),
    "rating by a stress with a grade": (
        "tube-rating",
        {
            "tube": TUBE,
            "methods": ALL_METHODS,
            "allowable_stress": {"value": 24500, "unit": "psi"},
            "pressure": {"value": 150, "unit": "bar"},
        },
    ),
    "rating of a weld": (
        "tube-rating",
        {
            "tube": {
                "od": {"value": 0.5, "unit": "in"},
                "wall": {"value": 0.065, "unit": "in"},
                "material": "tp316l-a269",
            },
            "methods": ["iso-10763", "din-2413-static", "asme-b31.3"],
            "quality_factor": 0.85,
        },
    ),
    "rating by a stress": (
        "tube-rating",
        {
            "tube": {k: TUBE[k] for k in ("od", "wall")},
            "methods": ALL_METHODS,
            "allowable_stress": {"value": 24500, "unit": "psi"},
            "quality_factor": 0.85,
            "answer_in": IN_INCHES,
        },
    ),
}
ROWS: dict[str, AnyRow] = {
    row.ref: row for rows in shipped_revision().tables.values() for row in rows
}


def answer_to(name: str) -> dict[str, Any]:
    ask, question = QUESTIONS[name]
    index = shipped_with()
    answer: Any
    if ask == "setup-check":
        answer = setup_check(index, in_full(question, SetupCheckQuestion))
    elif ask == "press-target":
        answer = press_target(index, in_full(question, PressTargetQuestion))
    elif ask == "tooling-pick":
        answer = picked(index, msgspec.convert(question, PickItem), AnswerUnits())
    else:
        answer = tube_rating(index, in_full(question, TubeRatingQuestion))
    told: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(answer))
    return told


def ours(quantity: dict[str, Any]) -> float:
    return float(quantity["value"] * FACTOR[quantity["unit"]])


def same(one: float, other: float) -> bool:
    return one == pytest.approx(other, rel=2e-8, abs=1e-12)


def numbers(part: Any) -> list[dict[str, Any]]:
    """Every quantity anywhere in a part of an answer."""
    if isinstance(part, dict):
        if set(part) == {"value", "unit"}:
            return [part]
        return [number for value in part.values() for number in numbers(value)]
    if isinstance(part, list):
        return [number for value in part for number in numbers(value)]
    return []


def at(question: Any, pointer: str) -> Any:
    for name in pointer[1:].split("/"):
        question = question.get(name) if isinstance(question, dict) else None
    return question


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_number_is_the_result_of_a_step_or_an_input_of_one(name: str) -> None:
    answer = answer_to(name)
    steps = answer["working"]
    # How long to hold is a cell of the ring set, and nothing follows from it.
    answer.get("target", {}).pop("conditions", None)
    known = [step["result"] for step in steps]
    known += [given for step in steps for given in step["inputs"].values()]
    told = [
        number
        for part in ("target", "assembly", "loads", "ratings", "yield_limit")
        for number in numbers(answer.get(part, {}))
    ]
    if "assembly" in answer:
        told.append({"value": answer["assembly"]["margin"], "unit": "1"})
    assert told
    without = [n for n in told if not any(same(ours(n), ours(k)) for k in known)]
    assert without == []


# Named by the method where the question does not state them: no allowance, no loss at the weld.
DEFAULTS = {
    "/corrosion_allowance": 0.0,
    "/weld_factor": 1.0,
    "/y_coefficient": 0.4,
}


def is_of_field(given: dict[str, Any], question: dict[str, Any], assumed: set[str]) -> bool:
    origin = given["origin"]
    stated = at(question, origin)
    if stated is None:
        return origin in assumed or same(given["value"], DEFAULTS[origin])
    return same(ours(given), ours(stated) if isinstance(stated, dict) else stated)


def is_of_row(given: dict[str, Any]) -> bool:
    row = ROWS[given["origin"]]
    cells = [getattr(row, column) for column in row.__struct_fields__]
    # The pressures of a row are in bar.
    return any(
        same(value, cell)
        for cell in cells
        if isinstance(cell, float)
        for value in (given["value"], ours(given), ours(given) / FACTOR["bar"])
    )


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_input_is_what_its_origin_says(name: str) -> None:
    answer = answer_to(name)
    assumed = {assumption["at"] for assumption in answer.get("assumptions", ())}
    results: dict[str, list[float]] = {}
    wrong = []
    for step in answer["working"]:
        for symbol, given in step["inputs"].items():
            origin = given["origin"]
            if origin == "formula":
                right = True
            elif origin.startswith("/"):
                right = is_of_field(given, QUESTIONS[name][1], assumed)
            elif re.match(r"[a-z]+/", origin):
                right = is_of_row(given)
            else:
                right = any(same(ours(given), result) for result in results.get(origin, []))
            if not right:
                wrong.append((step["name"], symbol, given))
        results.setdefault(step["name"], []).append(ours(step["result"]))
    assert wrong == []


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_step_names_a_formula_and_a_source_that_the_answer_lists(name: str) -> None:
    answer = answer_to(name)
    formulas = {(formula.text, formula.source) for formula in FORMULAS}
    grades = {row.id: row.grade for row in shipped_with().sources.values()}
    for step in answer["working"]:
        assert (step["formula"], step["source"]) in formulas
        assert step["grade"] == grades[step["source"]]
        if "sources" in answer:
            assert step["source"] in {note["id"] for note in answer["sources"]}


@pytest.mark.parametrize("name", QUESTIONS)
def test_every_step_can_be_calculated_again_from_what_is_told(name: str) -> None:
    formulas = {(formula.text, formula.source): formula for formula in FORMULAS}
    for step in answer_to(name)["working"]:
        formula = formulas[step["formula"], step["source"]]
        symbols = {symbol.rstrip("_"): symbol for symbol in formula.of}
        told = {symbols[name]: ours(number) for name, number in step["inputs"].items()}
        assert same(ours(step["result"]), formula(**told)), step["name"]


def test_a_margin_is_that_of_the_lowest_limit() -> None:
    answer = answer_to("setup")
    limits = [ours(limit["pressure"]) for limit in answer["assembly"]["limits"]]
    (step,) = (step for step in answer["working"] if step["formula"] == "margin = p_limit / p")
    given = {symbol: ours(number) for symbol, number in step["inputs"].items()}
    assert len(set(limits)) > 2
    assert same(given["p_limit"], min(limits))
    assert same(answer["assembly"]["margin"], min(limits) / given["p"])
