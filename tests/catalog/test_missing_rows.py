"""A row that an answer reads, taken away, leaves the answer open or the tables unfit."""

import re
from functools import cache
from typing import Any

import msgspec
import pytest

from catalog.answers.grounds import rows_of_setup
from catalog.answers.picking import picked
from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tube_rating import tube_rating
from catalog.compiling import CompileError, compile_revision
from catalog.index import Index
from catalog.questions import (
    AnswerUnits,
    PickItem,
    PressTargetQuestion,
    SetupCheckQuestion,
    TubeRatingQuestion,
)
from catalog.revision import revision_of
from catalog.rows import Source
from catalog.setup.resolving import press_target_setup, setup_check_setup
from tests.catalog.synthetic import CONTROL, Tables, changed, in_full, standard_tables

# A pick may take any press: with every relief below the spans, none is worth a caution.
BELOW_THE_SPANS = (
    ("presses", "press-a", (("relief_setting_bar", 399),)),
    ("presses", "press-c", (("relief_setting_bar", 159),)),
)
PRESSING = {
    "tube": {k: CONTROL["tube"][k] for k in ("od", "wall", "material", "measured_od", "coating")},
    "fitting": CONTROL["fitting"],
}
QUESTIONS: dict[str, dict[str, Any]] = {
    "setup-check": CONTROL,
    "press-target": {
        **PRESSING,
        **{name: CONTROL[name] for name in ("press", "gauge", "on", "tool_state")},
    },
    "tooling-pick": {**PRESSING, "service": CONTROL["service"]},
    "tube-rating": {
        "tube": {k: CONTROL["tube"][k] for k in ("od", "wall", "material")},
        "temperature": {"value": 60, "unit": "degC"},
        "methods": ["iso-10763", "din-2413-static", "din-2413-pulsating"],
        "pressure": {"value": 200, "unit": "bar"},
        "proof_factor": 1.5,
        "corrosion_allowance": {"value": 0, "unit": "mm"},
    },
}
"""The same tube end as each caller asks for it, every fact stated."""


def tables() -> Tables:
    return changed(standard_tables(), BELOW_THE_SPANS)


@cache
def whole() -> Index:
    return compile_revision(revision_of(tables()))


def without(ref: str) -> Index:
    """Index of the same tables less one row."""
    left = tables()
    name = ref.split("/")[0]
    kept = [row for row in left[name] if row.ref != ref]
    assert len(kept) == len(left[name]) - 1
    left[name] = kept
    return compile_revision(revision_of(left))


def answer(index: Index, ask: str) -> Any:
    question = QUESTIONS[ask]
    if ask == "setup-check":
        return setup_check(index, msgspec.convert(question, SetupCheckQuestion))
    if ask == "press-target":
        return press_target(index, in_full(question, PressTargetQuestion))
    if ask == "tooling-pick":
        return picked(index, msgspec.convert(question, PickItem), AnswerUnits())
    return tube_rating(index, in_full(question, TubeRatingQuestion))


@cache
def rows_read(ask: str) -> tuple[str, ...]:
    """Rows that the working and the findings name, and those that the setup holds."""
    told = answer(whole(), ask)
    named = {i.origin for step in told.working for i in step.inputs.values()}
    named |= {ref for finding in told.findings for ref in finding.basis}
    read = {origin for origin in named if re.match(r"[a-z]+/", origin)}
    if ask == "setup-check":
        setup = setup_check_setup(whole(), msgspec.convert(CONTROL, SetupCheckQuestion))
        read |= {row.ref for row in rows_of_setup(setup)}
    elif ask != "tube-rating":
        target = msgspec.convert(QUESTIONS["press-target"], PressTargetQuestion)
        read |= {row.ref for row in rows_of_setup(press_target_setup(whole(), target))}
    return tuple(sorted(read))


@pytest.mark.parametrize("ask", QUESTIONS)
def test_each_caller_has_a_control_that_is_allowed(ask: str) -> None:
    told = answer(whole(), ask)
    assert told.verdict == "allowed"
    assert told.findings == ()


def test_the_rows_of_a_setup_are_those_that_one_would_look_up() -> None:
    assert rows_read("setup-check") == (
        "cones/cone-S-16",
        "cut_methods/toothed-saw",
        "derating/carbon-steel/120",
        "fluids/mineral-oil",
        "gauges/gauge-b",
        "inserts/carbon-steel/16",
        "materials/e235-n",
        "plates/plate-metric-16",
        "preparation/metric-24-degree/0.1",
        "presses/press-b",
        "rings/ring-S-metal-carbon-steel",
        "series/S",
        "sizes/S/16",
        "strengths/e235-n/120",
        "targets/S/16/1.9/2.1/carbon-steel/metal/none",
        "tubes/en-10305-4/16/2",
    )


READ = [(ask, ref) for ask in QUESTIONS for ref in rows_read(ask)]
# A pick is as well done by another press.
ANOTHER_WILL_DO = {
    *(("tooling-pick", f"presses/{press}") for press in ("press-a", "press-b")),
    # A cone for carbon steel alone lies beside the one for every family.
    *((ask, "cones/cone-S-16") for ask in ("press-target", "tooling-pick")),
}


@pytest.mark.parametrize(("ask", "ref"), READ, ids=[f"{ask} {ref}" for ask, ref in READ])
def test_a_row_that_was_read_is_missed(ask: str, ref: str) -> None:
    try:
        index = without(ref)
    except CompileError:
        return
    told = answer(index, ask)
    assert told.verdict == ("allowed" if (ask, ref) in ANOTHER_WILL_DO else "undetermined")


SOURCES = [
    (ask, note.id)
    for ask in QUESTIONS
    if ask != "tooling-pick"
    for note in answer(whole(), ask).sources
]
CAUTION = {
    "memory": "data.memory",
    "secondary": "data.memory",
    "demonstration": "data.demonstration",
}


@pytest.mark.parametrize(("ask", "source"), SOURCES, ids=[" ".join(each) for each in SOURCES])
@pytest.mark.parametrize("grade", CAUTION)
def test_a_source_that_is_trusted_less_is_worth_a_caution(
    ask: str, source: str, grade: str
) -> None:
    less = tables()
    less["sources"] = [
        msgspec.structs.replace(row, grade=grade)
        if isinstance(row, Source) and row.id == source
        else row
        for row in less["sources"]
    ]
    told = answer(compile_revision(revision_of(less)), ask)
    assert told.verdict == "allowed-with-cautions"
    (finding,) = told.findings
    assert finding.code == CAUTION[grade]
    assert source in finding.sources
    assert finding.basis


@pytest.mark.parametrize("source", [source for ask, source in SOURCES if ask == "setup-check"])
def test_without_a_source_the_tables_are_unfit(source: str) -> None:
    with pytest.raises(CompileError, match=f"`?{re.escape(source)}`?"):
        without(f"sources/{source}")
