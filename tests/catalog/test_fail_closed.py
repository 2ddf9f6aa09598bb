"""Unknown is never allowed: from a setup that is allowed, everything taken away or spoilt shows."""

import json
from itertools import combinations
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import UNSET

from catalog.answers.setup_check import setup_check
from catalog.answers.shapes import SetupCheckAnswer
from catalog.facts import SETUP, Required
from catalog.findings import CODES
from catalog.questions import SetupCheckQuestion
from catalog.setup.resolving import setup_check_setup
from tests.catalog.rules.single_faults import SINGLE_FAULTS, SingleFault
from tests.catalog.synthetic import CONTROL, asked, control, shipped_with, synthetic_index

GRAVITY = {"allowed": 0, "allowed-with-cautions": 1, "undetermined": 2, "rejected": 3}
BY_SEVERITY = {"unknown": "undetermined", "reject": "rejected"}
READING = {
    "press.reading-missing",
    "press.reading-unit",
    "press.outside-window",
    "press.above-ceiling",
}
# Besides the table: the reading to press to, which contact does without.
REQUIRED = (*SETUP, Required("/intended_reading", "press.reading-missing"))
# 12L x 1 wants an insert; 15.95 mm may be 16 mm or 5/8 in: two facts that only some tubes ask for.
THIN = {
    "/tube/od": "12 mm",
    "/tube/wall": "1 mm",
    "/tube/measured_od": "12 mm",
    "/tube/insert": "fitted",
    "/fitting/series": "L",
    "/tooling/cone": "cone-L-12",
    "/tooling/plate": "plate-metric-12",
    "/intended_reading": "110 bar",
    "/service/working_pressure": "100 bar",
    "/service/peak_pressure": "100 bar",
}
BETWEEN = {"/tube/measured_od": "15.95 mm", "/tube/identified_by": "marking"}


# 1/2 x 0.065 in: a flareless ring, pressed until the nut meets the cone.
CONTACT = {
    "/tube/material": "j524",
    "/tube/od": "0.5 in",
    "/tube/wall": "0.065 in",
    "/tube/measured_od": "0.5 in",
    "/tube/hardness": {"value": 60, "scale": "HRB"},
    "/fitting/series": "flareless",
    "/tooling/cone": "cone-flareless-8",
    "/tooling/plate": "plate-inch-8",
    "/intended_reading": "out",
}


def check(changes: dict[str, Any] | None = None) -> SetupCheckAnswer:
    return setup_check(synthetic_index(), control(changes))


def decisive(answer: SetupCheckAnswer) -> set[str]:
    return {f.code for f in answer.findings if f.severity in BY_SEVERITY}


def test_the_control_is_allowed_and_nothing_else_is_said() -> None:
    answer = check()
    assert answer.verdict == "allowed"
    assert answer.findings == ()
    assert answer.assumptions == ()
    assert answer.next_fields == ()
    assert {step.state for step in answer.steps} == {"ok"}


def test_the_right_setup_of_the_contract_rests_on_nothing_but_the_tables() -> None:
    file = Path(__file__).parents[2] / "openapi" / "examples" / "21-setup-right.json"
    body = json.loads(file.read_text(encoding="utf-8"))["body"]
    assert body["fitting"]["other_end"] == "same"
    assert "on" not in body
    # As the service does where a question leaves it out.
    body["on"] = "2026-03-02"
    answer = setup_check(shipped_with(), msgspec.convert(body, SetupCheckQuestion))
    assert answer.verdict == "allowed-with-cautions"
    assert {f.code for f in answer.findings} == {"data.demonstration", "data.memory"}
    assert answer.assumptions == ()
    assert (answer.next, answer.next_fields) == (UNSET, ())


@pytest.mark.parametrize(
    "start", [THIN, BETWEEN, CONTACT], ids=["thin wall", "between two sizes", "at contact"]
)
def test_the_other_controls_are_allowed(start: dict[str, Any]) -> None:
    assert check(start).verdict == "allowed"


@pytest.mark.parametrize("fact", REQUIRED, ids=lambda fact: fact.at)
def test_a_required_fact_left_out_is_its_unknown(fact: Required) -> None:
    answer = check({fact.at: "out"})
    assert answer.verdict == "undetermined"
    assert [f.code for f in answer.findings if f.at == fact.at] == [fact.code]
    assert decisive(answer) == {fact.code}
    assert fact.at in answer.next_fields


@pytest.mark.parametrize(
    ("start", "at", "code"),
    [
        (THIN, "/tube/insert", "tube.insert-unknown"),
        (BETWEEN, "/tube/identified_by", "tube.near-size-ambiguous"),
    ],
    ids=["insert", "identified_by"],
)
def test_a_fact_that_this_tube_asks_for(start: dict[str, Any], at: str, code: str) -> None:
    answer = check({**start, at: "out"})
    assert answer.verdict == "undetermined"
    assert decisive(answer) == {code}
    assert answer.next_fields == (at,)


@pytest.mark.parametrize("group", sorted(k for k, v in CONTROL.items() if isinstance(v, dict)))
def test_a_whole_group_left_out_is_not_allowed(group: str) -> None:
    answer = check({f"/{group}": "out"})
    inside = {fact.at for fact in REQUIRED if fact.at.startswith(f"/{group}/")}
    assert answer.verdict == "undetermined"
    assert inside <= set(answer.next_fields)


ASSUMED = {
    "/tube/coating",
    "/fitting/ring_condition",
    "/fitting/ring_source",
    "/fitting/nut_source",
    "/service/fluid",
    "/service/peak_pressure",
    "/service/proof_factor",
    "/service/corrosion_allowance",
}
# The other end of the body is no assumption: left out, the answer says that it was not judged.
OTHER_END = "/fitting/other_end"
# Only some lines ask for it: one that is cold.
BY_THE_LINE = {"/service/least_temperature"}


@pytest.mark.parametrize("at", sorted(ASSUMED))
def test_an_assumed_fact_left_out_is_listed_and_worth_a_caution(at: str) -> None:
    answer = check({at: "out"})
    assert answer.verdict == "allowed-with-cautions"
    assert [f.code for f in answer.findings] == ["data.assumed"]
    assert [a.at for a in answer.assumptions] == [at]


def test_nothing_but_the_design_s_list_is_assumed() -> None:
    leaves = {
        f"/{group}/{name}" if isinstance(part, dict) and "unit" not in part else f"/{group}"
        for group, part in CONTROL.items()
        if group != "detail"
        for name in (part if isinstance(part, dict) else (group,))
    }
    assert leaves - {fact.at for fact in REQUIRED} == ASSUMED | {OTHER_END} | BY_THE_LINE


@pytest.mark.parametrize("fault", SINGLE_FAULTS, ids=lambda f: f"{f.name}: {f.code}")
def test_one_fault_is_found(fault: SingleFault) -> None:
    answer = check(dict(fault.set))
    assert fault.code in decisive(answer)
    assert GRAVITY[answer.verdict] >= GRAVITY[BY_SEVERITY[CODES[fault.code].severity]]


def test_the_table_of_faults_is_long_enough() -> None:
    assert len(SINGLE_FAULTS) >= 60
    assert len({fault.name for fault in SINGLE_FAULTS}) == len(SINGLE_FAULTS)


# A reading is asked for by a ring set that is finished at pressure alone.
NEEDS = {"/intended_reading": ("/fitting/series", "/fitting/ring_style", "/fitting/ring_material")}
OMISSIONS = tuple(
    SingleFault(f"no {f.at}", {f.at: "out"}, f.code, NEEDS.get(f.at, ())) for f in REQUIRED
)


STARTS: dict[str, dict[str, Any]] = {"at pressure": {}, "at contact": CONTACT, "thin wall": THIN}


@pytest.mark.parametrize("start", STARTS)
def test_what_is_open_or_wrong_has_one_thing_to_do_next(start: str) -> None:
    wrong = []
    for fault in (*SINGLE_FAULTS, *OMISSIONS):
        answer = check({**STARTS[start], **fault.set})
        severity = "reject" if answer.verdict == "rejected" else "unknown"
        of_it = {(f.code, f.at) for f in answer.findings if f.severity == severity}
        if answer.next is UNSET:
            # Beside what the start states instead, such as its own reading, some are no fault.
            if of_it or start == "at pressure":
                wrong.append((fault.name, "nothing"))
        elif (answer.next.code, answer.next.at) not in of_it or not answer.next.do:
            wrong.append((fault.name, answer.next.code))
    assert wrong == []


def test_what_is_stated_as_unknown_has_something_to_do_next() -> None:
    for fault in (f for f in SINGLE_FAULTS if CODES[f.code].severity == "unknown"):
        answer = check(dict(fault.set))
        if answer.verdict == "undetermined":
            assert answer.next is not UNSET
            assert answer.next.code in decisive(answer)


def test_a_ring_finished_at_contact_is_never_asked_for_a_reading() -> None:
    asked_for, counted = [], 0
    for fault in (*SINGLE_FAULTS, *OMISSIONS):
        question = control({**CONTACT, **fault.set})
        ring = setup_check_setup(synthetic_index(), question).fitting.ring
        answer = setup_check(synthetic_index(), question)
        if ring is None:
            # How it is finished is not known yet: what says it is asked for first.
            assert answer.next is not UNSET
            assert answer.next.at != "/intended_reading"
        elif ring.finish == "at-contact":
            counted += 1
            told = {f.at for f in answer.findings if f.code == "press.reading-missing"}
            if told | ({"/intended_reading"} & set(answer.next_fields)):
                asked_for.append(fault.name)
    assert asked_for == []
    assert counted >= 80


def hides(other: SingleFault, fault: SingleFault) -> bool:
    """Whether one change takes away a fact that the other fault is seen by."""
    return bool(set(fault.needs) & set(other.set))


def test_a_second_fault_never_improves_the_verdict() -> None:
    wrong = []
    for first, second in combinations((*SINGLE_FAULTS, *OMISSIONS), 2):
        if set(first.set) & set(second.set):
            continue  # the second would undo the first
        answer = check({**first.set, **second.set})
        codes = {f.code for f in answer.findings}
        for fault, other in ((first, second), (second, first)):
            least = BY_SEVERITY[CODES[fault.code].severity]
            if hides(other, fault):
                least = "undetermined"
            elif fault.code not in codes:
                wrong.append((fault.name, "hidden by", other.name))
            if GRAVITY[answer.verdict] < GRAVITY[least]:
                wrong.append((first.name, second.name, answer.verdict))
    assert wrong == []


POINTERS = tuple(sorted({fact.at for fact in REQUIRED} | ASSUMED | {OTHER_END}))


@settings(max_examples=400, deadline=None)
@given(left_out=st.sets(st.sampled_from(POINTERS)))
def test_any_part_of_a_right_setup_is_allowed_only_if_it_is_whole(left_out: set[str]) -> None:
    answer = check(dict.fromkeys(left_out, "out"))
    whole = not left_out & {fact.at for fact in REQUIRED}
    assert (answer.verdict in {"allowed", "allowed-with-cautions"}) == whole
    assert (answer.verdict == "allowed") == (not left_out)


@settings(max_examples=400, deadline=None)
@given(chosen=st.lists(st.sampled_from((*SINGLE_FAULTS, *OMISSIONS)), min_size=1, max_size=12))
def test_any_number_of_faults_is_never_allowed(chosen: list[SingleFault]) -> None:
    changes: dict[str, Any] = {}
    for fault in chosen:
        if not set(changes) & set(fault.set):
            changes.update(fault.set)
    answer = check(changes)
    assert answer.verdict in {"undetermined", "rejected"}
    assert (answer.verdict == "rejected") == any(f.severity == "reject" for f in answer.findings)
    if answer.verdict == "rejected" and not decisive(answer) <= READING:
        assert not answer.target


def test_asked_leaves_the_control_alone() -> None:
    before = repr(CONTROL)
    asked(CONTROL, {"/tube/od": "out", "/service/fluid": "gas"})
    assert repr(CONTROL) == before
