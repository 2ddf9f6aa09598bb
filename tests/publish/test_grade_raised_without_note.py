"""A grade decides which cautions an answer carries: it may not rise unless a note says why."""

from collections.abc import Callable
from typing import Any

import pytest

from catalog.terms import GRADES
from tests.publish.office import Grid, column_at, edited_csv, put
from tests.publish.revised import refusals, reviewed_without_report

REMEDY = "write into the note of sources/demo who read which document, and when"
NOTE = "read by office-1 on 2026-03-02 in the shop's own copy"


def source(name: str, **cells: str) -> Callable[[Grid], None]:
    """Change cells of a row of the sources."""

    def edit(grid: Grid) -> None:
        for column, value in cells.items():
            put(grid, _row_of(grid, name), column, value)

    return edit


def _row_of(grid: Grid, name: str) -> int:
    return 1 + [cells[0] for cells in grid].index(name)


def cell(name: str, column: str) -> Any:
    found: list[str] = []

    def read(grid: Grid) -> None:
        found.append(grid[_row_of(grid, name) - 1][column_at(grid, column)])
        grid.append([])

    edited_csv("sources", read)
    return found[0]


def test_grades_are_known_in_the_order_of_trust() -> None:
    assert GRADES[0] == "standard"
    assert GRADES[-1] == "demonstration"
    assert cell("demo", "grade") == "demonstration"


@pytest.mark.parametrize("grade", GRADES[:-1])
def test_a_grade_that_rises_is_told(grade: str) -> None:
    (only,) = refusals(edited_csv("sources", source("demo", grade=grade)))
    assert (only.table, only.row, only.column) == ("sources", "sources/demo", "grade")
    assert (only.value, only.rule) == (grade, "grade-raised")
    assert only.message == (
        f"`{grade}` is trusted more than `demonstration` before it, and no note says why"
    )
    assert only.remedy == REMEDY


@pytest.mark.parametrize("note", ["", "the same"])
def test_a_blank_note_or_the_old_one_says_nothing(note: str) -> None:
    cells = {"grade": "maker"} if note else {"grade": "maker", "note": ""}
    assert [r.rule for r in refusals(edited_csv("sources", source("demo", **cells)))] == [
        "grade-raised"
    ]


def test_a_note_that_is_new_says_why() -> None:
    revision = reviewed_without_report(
        edited_csv("sources", source("sae-j526", grade="standard", note=NOTE))
    )
    assert "sae-j526" in {getattr(row, "id", "") for row in revision.tables["sources"]}


def test_a_grade_that_falls_needs_no_note() -> None:
    reviewed_without_report(edited_csv("sources", source("iso-10763", grade="memory")))


@pytest.mark.parametrize("named", ["geometry_source", "source"])
def test_a_row_moved_to_a_source_of_a_better_grade_is_told(named: str) -> None:
    def maker(grid: Grid) -> None:
        copy = list(grid[1])
        for column, value in (("id", "maker-sheet"), ("grade", "maker"), ("note", "")):
            copy[column_at(grid, column)] = value
        grid.append(copy)

    def move(grid: Grid) -> None:
        line = next(n for n, cells in enumerate(grid, start=1) if cells[0] == "flareless")
        put(grid, line, named, "maker-sheet")

    files = edited_csv("sources", maker)
    files |= edited_csv("sizes", move)
    (only,) = refusals(files)
    assert (only.table, only.row, only.column) == ("sizes", "sizes/flareless/6.35", named)
    assert (only.value, only.rule) == ("maker-sheet", "grade-raised")
    assert only.message.startswith("`maker-sheet` is trusted more than `demo` before it")
    assert only.remedy == REMEDY.replace("demo", "maker-sheet")

    def noted(grid: Grid) -> None:
        maker(grid)
        put(grid, len(grid), "note", NOTE)

    reviewed_without_report({**files, **edited_csv("sources", noted)})


def test_every_row_that_is_moved_is_told() -> None:
    def edit(grid: Grid) -> None:
        at = column_at(grid, "source")
        for cells in grid[1:]:
            cells[at] = "own-wording"

    # The note that this source has had all along says nothing of the gauges.
    found = refusals(edited_csv("gauges", edit))
    assert len(found) == 8
    assert {(r.table, r.rule) for r in found} == {("gauges", "grade-raised")}
    assert {r.value for r in found} == {"own-wording"}
    explained = edited_csv("sources", source("own-wording", note=NOTE))
    reviewed_without_report({**edited_csv("gauges", edit), **explained})


def test_a_new_row_may_rest_on_what_it_likes() -> None:
    def edit(grid: Grid) -> None:
        copy = list(grid[1])
        copy[column_at(grid, "id")] = "gauge-new"
        copy[column_at(grid, "source")] = "own-wording"
        grid.append(copy)

    reviewed_without_report(edited_csv("gauges", edit))
