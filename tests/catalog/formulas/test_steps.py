"""Every step that is recorded is a calculation: of what it is given, and by its formula alone.

What an answer tells of the steps is held to its question and its rows in
tests/catalog/answers/test_working.py.
"""

import inspect
import re
from collections.abc import Iterator
from math import isclose
from typing import Any

import msgspec
import pytest

from catalog.quantities import FACTOR
from catalog.questions import (
    AnswerUnits,
    PickItem,
    PressTargetQuestion,
    SetupCheckQuestion,
    TubeRatingQuestion,
)
from catalog.revision import rows_of
from catalog.rows import AnyRow, Material, Target, Tube
from catalog.seed import shipped_revision
from catalog.setup.pressing import forces, pressing
from catalog.setup.resolving import Setup, pick_setup, press_target_setup, setup_check_setup
from catalog.setup.tube_rating import tube_rating_setup
from catalog.working import FROM_FORMULA, Num, Step
from tests.catalog.answers.test_working import ALL_METHODS, QUESTIONS
from tests.catalog.synthetic import CONTROL, asked, in_full, shipped_with

INDEX = shipped_with()
REVISION = shipped_revision()
ROWS: dict[str, AnyRow] = {row.ref: row for rows in REVISION.tables.values() for row in rows}


def steps_of(setup: Setup) -> list[Step]:
    band = None if setup.target is None else forces(setup.target)
    parts = [part.steps for part in (band, setup.pressing, setup.rating, setup.loads) if part]
    return [step for steps in parts for step in steps]


def steps_to(ask: str, question: dict[str, Any]) -> list[Step]:
    if ask == "setup-check":
        return steps_of(setup_check_setup(INDEX, in_full(question, SetupCheckQuestion)))
    if ask == "press-target":
        return steps_of(press_target_setup(INDEX, in_full(question, PressTargetQuestion)))
    if ask == "tooling-pick":
        return steps_of(pick_setup(INDEX, msgspec.convert(question, PickItem), AnswerUnits()))
    setup = tube_rating_setup(INDEX, in_full(question, TubeRatingQuestion))
    return [*(step for rated in setup.rated for step in rated.steps), *setup.yield_steps]


def is_in(row: AnyRow, number: Num) -> bool:
    """Whether a number is a cell of its row, in some unit."""
    cells = (getattr(row, column) for column in row.__struct_fields__)
    floats = [float(each) for each in cells if isinstance(each, int | float)]
    # A wall whose least is listed has no under-tolerance of the nominal one.
    return (isinstance(row, Tube) and number == 0.0) or any(
        isclose(number, value * factor, rel_tol=1e-12)
        for value in floats
        for factor in FACTOR.values()
    )


def strangers(step: Step, results: dict[str, Num]) -> Iterator[str]:
    """Inputs of a step that are not what they say, or not from where they say."""
    for symbol, given in step.inputs.items():
        wanted, origin = step.formula.of[symbol], given.origin
        if given.measure is not wanted:
            yield f"{symbol} is a {given.measure.name}, not a {wanted.name}"
        if origin in results:
            known = given is results[origin]
        elif origin in ROWS:
            known = is_in(ROWS[origin], given)
        else:
            known = origin == FROM_FORMULA or re.fullmatch(r"(/\w+)+", origin) is not None
        if not known:
            yield f"{symbol} is not from {origin}"


def faults(steps: list[Step]) -> Iterator[str]:
    """What of these steps is no calculation."""
    results: dict[str, Num] = {}
    for step in steps:
        name, by = step.result.of, step.formula
        needed = inspect.signature(by.run).parameters.values()
        missing = {p.name for p in needed if p.default is p.empty} - set(step.inputs)
        wrong = [*strangers(step, results), *(f"{symbol} is not given" for symbol in missing)]
        if not missing and step.result != by.run(**step.inputs):
            wrong.append("does not follow from its inputs")
        if step.result.measure is not by.result or name in results:
            wrong.append("is another number than its name says")
        yield from (f"{name}: {each}" for each in wrong)
        results[name] = step.result


@pytest.mark.parametrize("name", QUESTIONS)
def test_steps_of_a_question(name: str) -> None:
    steps = steps_to(*QUESTIONS[name])
    assert steps
    assert list(faults(steps)) == []


@pytest.mark.parametrize("row", rows_of(REVISION, Tube), ids=lambda row: row.ref)
def test_steps_of_every_tube(row: Tube) -> None:
    """Every tube of the shop in each of its grades, in each of the ways that a rating can go."""
    steps = 0
    for material in rows_of(REVISION, Material):
        if material.standard != row.standard:
            continue
        tube = {
            "od": {"value": row.od_mm, "unit": "mm"},
            "wall": {"value": row.wall_mm, "unit": "mm"},
            "material": material.id,
        }
        for more in ({}, {"quality_factor": 0.85, "temperature": {"value": 300, "unit": "degC"}}):
            question = {
                "tube": tube,
                "methods": ALL_METHODS,
                "pressure": {"value": 100, "unit": "bar"},
                **more,
            }
            found = steps_to("tube-rating", question)
            assert list(faults(found)) == [], question
            steps += len(found)
        for change in (
            {"/service/pulsating": True, "/tube/bends": [{"radius": mm(5 * row.od_mm)}]},
            {"/tube/quality_factor": 0.85, "/service/temperature": "300 degC"},
            {"/service/corrosion_allowance": "0.3 mm", "/service/peak_pressure": "400 bar"},
        ):
            of_tube = {f"/tube/{name}": value for name, value in tube.items()}
            found = steps_to("setup-check", asked(CONTROL, {**of_tube, **change}))
            assert list(faults(found)) == [], (tube, change)
            steps += len(found)
    assert steps


def mm(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "mm"}


def test_steps_of_every_pair_on_every_size() -> None:
    for target in {row.od_mm: row for row in rows_of(REVISION, Target)}.values():
        band = forces(target)
        assert list(faults([*band.steps, *band.ceiling_steps])) == []
        for press, gauge in INDEX.pairs:
            numbers = pressing(target, press, gauge, None, None)
            assert list(faults([*band.steps, *numbers.steps])) == [], (target.ref, press.id)
