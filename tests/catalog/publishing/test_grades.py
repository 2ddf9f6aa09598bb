"""Doubts and refusals about grades that rise, in place, through a new source, or by another one."""

from typing import Any

import pytest
from msgspec import structs

from catalog.plausibility import Doubt
from catalog.publishing import refusals_of
from catalog.publishing.grades import grade_doubts
from catalog.revision import Revision, revision_of, rows_of
from catalog.rows import AnyRow, Source
from catalog.seed import shipped_revision
from catalog.terms import GRADES

SHIPPED = shipped_revision()
COUNT = len(SHIPPED.tables["targets"])
NOTED = "entered by the office from the shop's own trials of 2026-03-02"


def source(**cells: Any) -> Source:
    """A source like the demonstration, which every target rests on."""
    (demo,) = (row for row in rows_of(SHIPPED, Source) if row.id == "demo")
    return structs.replace(demo, **{"id": "shop-2026", "grade": "memory", "note": NOTED, **cells})


def moved(new: Source, *tables: str, **more: list[AnyRow]) -> Revision:
    """Every row of these tables that rests on `demo`, resting on a new source."""

    def row_of(row: Any) -> AnyRow:
        columns = [c for c in row.source_columns if getattr(row, c) == "demo"]
        other: AnyRow = structs.replace(row, **dict.fromkeys(columns, new.id))
        return other

    rows = {table: [row_of(row) for row in SHIPPED.tables[table]] for table in tables}
    sources = [*SHIPPED.tables["sources"], new]
    return revision_of({**SHIPPED.tables, "sources": sources, **rows, **more})


def raised(revision: Revision) -> list[Doubt]:
    return list(grade_doubts(revision, SHIPPED))


@pytest.mark.parametrize("grade", ["secondary", "memory"])
def test_rows_that_move_to_a_new_source_want_a_reason(grade: str) -> None:
    (doubt,) = raised(moved(source(grade=grade), "targets"))
    assert (doubt.id, doubt.weight) == ("grade-raised:demo..shop-2026:source", "strong")
    assert f"{COUNT} rows ({COUNT} of targets) rest on `shop-2026` ({grade})" in doubt.message
    assert "`demo` (demonstration)" in doubt.message
    assert set(doubt.rows) == {row.ref for row in SHIPPED.tables["targets"]}


def test_one_reason_is_asked_for_each_pair_of_sources() -> None:
    (doubt,) = raised(moved(source(), "gauges", "preparation"))
    gauges = len(SHIPPED.tables["gauges"])
    assert f"{gauges} of gauges, 2 of preparation" in doubt.message


def test_rows_that_move_to_a_better_source_of_before_want_a_reason() -> None:
    gauges = [structs.replace(row, source="own-wording") for row in SHIPPED.tables["gauges"]]
    (doubt,) = raised(revision_of({**SHIPPED.tables, "gauges": gauges}))
    assert doubt.id == "grade-raised:demo..own-wording:source"


def test_rows_that_stay_as_invented_or_fall_do_not_rise() -> None:
    assert raised(moved(source(grade="demonstration"), "targets")) == []
    worse = [structs.replace(row, source="demo") for row in SHIPPED.tables["strengths"]]
    assert raised(revision_of({**SHIPPED.tables, "strengths": worse})) == []


def test_a_row_that_is_new_is_no_raise() -> None:
    row = structs.replace(SHIPPED.tables["gauges"][0], id="gauge-new", source="shop-2026")
    assert raised(moved(source(), gauges=[*SHIPPED.tables["gauges"], row])) == []


def test_a_source_that_is_trusted_more_wants_a_reason_whatever_its_note_says() -> None:
    def better(row: AnyRow) -> AnyRow:
        assert isinstance(row, Source)
        return structs.replace(row, grade="standard", note=f"{row.note}.")

    sources = [better(row) for row in SHIPPED.tables["sources"]]
    (doubt,) = raised(revision_of({**SHIPPED.tables, "sources": sources}))
    assert (doubt.id, doubt.weight) == ("grade-raised:sources:grade", "strong")
    assert raised(SHIPPED) == []


@pytest.mark.parametrize("grade", GRADES)
def test_a_new_source_that_is_trusted_much_wants_a_reason(grade: Any) -> None:
    found = raised(moved(source(grade=grade)))
    much = GRADES.index(grade) < GRADES.index("secondary")
    assert [doubt.id for doubt in found] == (["grade-raised:sources:grade"] if much else [])
    assert all(f"`sources/shop-2026` new -> {grade}" in doubt.message for doubt in found)


@pytest.mark.parametrize("grade", ["secondary", "memory", "standard"])
def test_rows_that_move_are_refused_until_the_note_says_why(grade: str) -> None:
    found = refusals_of(moved(source(grade=grade, note=""), "targets"), SHIPPED)
    assert {(r.table, r.column, r.rule) for r in found} == {("targets", "source", "grade-raised")}
    assert len(found) == COUNT
    assert {r.rule for r in refusals_of(moved(source(grade=grade), "targets"), SHIPPED)} == set()
