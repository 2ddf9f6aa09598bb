"""The cases that a revision carries are asked of its own index, and a wrong one is told."""

from typing import Any

import msgspec
import pytest

from catalog.casework import case_faults, question_of
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.revision import revision_of
from catalog.rows import Case
from catalog.seed import shipped_index, shipped_revision

SHIPPED = shipped_index()
RIGHT = next(case for case in SHIPPED.cases if case.id == "16s-press-b-gauge-b")
REFUSED = next(case for case in SHIPPED.cases if case.id == "16s-press-b-gauge-a")


def index_with(*cases: Case, **tables: Any) -> Index:
    return compile_revision(revision_of({**shipped_revision().tables, "cases": cases, **tables}))


def changed(case: Case, **columns: Any) -> Case:
    return msgspec.structs.replace(case, **columns)


def test_the_shipped_tables_answer_all_their_cases() -> None:
    assert len(SHIPPED.cases) >= 30
    assert case_faults(SHIPPED) == []


@pytest.mark.parametrize(
    ("columns", "told"),
    [
        ({"verdict": "allowed"}, "verdict allowed-with-cautions, by hand allowed"),
        ({"codes": ("gauge.too-coarse",)}, "no finding gauge.too-coarse"),
        ({"force_kn": 27.6}, "force_kn 27.5 kN, by hand 27.6"),
        ({"dial_low": 138.1}, "dial_low 138 bar, by hand 138.1"),
        ({"dial_high": 146.9}, "dial_high 147 bar, by hand 146.9"),
        ({"stop_at": 145.0}, "stop_at 140 bar, by hand 145"),
        ({"never_exceed": 171.0}, "never_exceed 170 bar, by hand 171"),
    ],
)
def test_a_wrong_expectation_is_told(columns: dict[str, Any], told: str) -> None:
    assert case_faults(index_with(changed(RIGHT, **columns))) == [f"cases/{RIGHT.id}: {told}"]


def test_all_that_is_wrong_is_told_at_once() -> None:
    wrong = changed(RIGHT, verdict="rejected", dial_low=1.0, stop_at=2.0, never_exceed=3.0)
    other = changed(RIGHT, id="another", force_kn=1.0)
    assert len(case_faults(index_with(wrong, other, REFUSED))) == 5


def test_a_number_that_no_answer_tells_is_a_fault() -> None:
    # A refused setup is told no target: a case that hopes for one is wrong.
    hopeful = changed(REFUSED, dial_low=142.5, never_exceed=165.5)
    assert case_faults(index_with(hopeful)) == [
        f"cases/{REFUSED.id}: no dial_low, by hand 142.5",
        f"cases/{REFUSED.id}: no never_exceed, by hand 165.5",
    ]


def test_within_is_what_it_says() -> None:
    near = changed(RIGHT, dial_low=138.04, within=0.05)
    far = changed(RIGHT, dial_low=138.06, within=0.05)
    assert case_faults(index_with(near)) == []
    assert len(case_faults(index_with(far))) == 1


def test_a_blank_number_is_not_compared() -> None:
    blank = changed(
        RIGHT, force_kn=None, dial_low=None, dial_high=None, stop_at=None, never_exceed=None
    )
    assert case_faults(index_with(blank)) == []


def test_a_changed_table_turns_its_cases_red() -> None:
    # 1 kN more on every target: no case with a number can still be right.
    more = [
        msgspec.structs.replace(row, force_kn=row.force_kn + 1, ceiling_kn=row.ceiling_kn + 2)
        for rows in SHIPPED.targets.values()
        for row in rows
    ]
    found = case_faults(index_with(*SHIPPED.cases, targets=more))
    with_force = {case.ref for case in SHIPPED.cases if case.force_kn is not None}
    assert {fault.split(":")[0] for fault in found} >= with_force


@pytest.mark.parametrize("case", SHIPPED.cases, ids=lambda case: case.id)
def test_a_case_asks_what_its_row_says(case: Case) -> None:
    question = msgspec.to_builtins(question_of(case))
    assert question["tube"]["od"] == {"value": case.od, "unit": case.size_unit}
    assert question["tube"]["wall"] == {"value": case.wall, "unit": case.size_unit}
    assert question["tube"].get("insert") == case.insert
    assert question.get("press") == case.press
    assert question.get("gauge") == case.gauge
    assert question["fitting"] == {
        "series": case.series,
        "ring_style": case.ring_style,
        "ring_material": case.ring_material,
    }
