"""A row that names another row which is not there: nothing can be said of it."""

import pytest

from tests.publish.office import Grid, column_at, edited_csv, put
from tests.publish.revised import refusals, reviewed_without_report


@pytest.mark.parametrize(
    ("table", "column", "value", "names"),
    [
        ("strengths", "material", "st-37", "materials"),
        ("rings", "series", "XL", "series"),
        ("cones", "series", "XL", "series"),
        ("targets", "series", "XL", "series"),
        ("presses", "gauges", "gauge-a;gauge-9", "gauges"),
    ],
)
def test_an_unknown_row_is_told_with_the_table_that_lacks_it(
    table: str, column: str, value: str, names: str
) -> None:
    # The first two ring sets are of one od: in a series that is not there their size lacks too.
    line = 4 if table == "rings" else 2
    found = refusals(edited_csv(table, lambda grid: put(grid, line, column, value)))
    (only,) = (r for r in found if r.rule == "reference-unknown")
    assert (only.table, only.column, only.value) == (table, column, value)
    assert only.message == f"`{value.rpartition(';')[2]}` is not in {names}: add it there"
    assert only.remedy == "add the row that is named, or name one that is there"


def test_the_row_is_named_as_an_answer_names_it() -> None:
    found = refusals(edited_csv("strengths", lambda grid: put(grid, 3, "material", "e235")))
    assert [(r.table, r.row, r.column, r.value) for r in found] == [
        ("strengths", "strengths/e235/20", "material", "e235")
    ]


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("gauges", "source"),
        ("sizes", "geometry_source"),
        ("tubes", "tolerance_source"),
        ("materials", "temp_source"),
        ("preparation", "caliper_source"),
    ],
)
def test_an_unknown_source_is_told(table: str, column: str) -> None:
    (only,) = refusals(edited_csv(table, lambda grid: put(grid, 2, column, "our-handbook")))
    assert (only.table, only.column, only.value) == (table, column, "our-handbook")
    assert only.rule == "source-unknown"
    assert only.message == "`our-handbook` is not in sources: add it there"
    assert only.remedy == "add the document to `sources`, or name one that is there"


def test_a_source_taken_out_is_missed_by_each_row_that_names_it() -> None:
    def edit(grid: Grid) -> None:
        grid[:] = [cells for cells in grid if cells[0] != "sae-j526"]

    found = refusals(edited_csv("sources", edit))
    assert {r.rule for r in found} == {"source-unknown"}
    assert {r.value for r in found} == {"sae-j526"}
    assert "neighbours/inch/3.175" in {r.row for r in found}


def test_a_gauge_taken_out_is_missed_by_its_presses() -> None:
    def edit(grid: Grid) -> None:
        grid[:] = [cells for cells in grid if cells[0] != "gauge-psi"]

    found = refusals(edited_csv("gauges", edit))
    assert [(r.row, r.column, r.rule) for r in found] == [
        ("presses/press-a", "gauges", "reference-unknown"),
        ("presses/press-b", "gauges", "reference-unknown"),
    ]


def test_a_size_without_its_tooling_and_a_target_without_its_size_are_told() -> None:
    def less_a_cone(grid: Grid) -> None:
        del grid[1]

    found = refusals(edited_csv("cones", less_a_cone))
    assert [(r.row, r.column, r.value, r.rule) for r in found] == [
        ("sizes/L/6", "od_mm", "6", "tooling-missing")
    ]

    def edit(grid: Grid) -> None:
        at = column_at(grid, "od_mm")
        for cells in grid[1:]:
            if cells[at] == "6.35":
                cells[at] = "6.4"

    rules = {r.rule for r in refusals(edited_csv("targets", edit))}
    assert rules == {"target-without-ground"}


GAUGES = "gauge-a;gauge-b;gauge-coarse;gauge-psi;gauge-9"
"""Those of press-a, which the cases of the revision ask for, and one more."""


def test_a_row_sent_with_the_row_that_it_names_is_taken() -> None:
    def gauge(grid: Grid) -> None:
        grid.append(["gauge-9", *grid[1][1:]])

    files = edited_csv("gauges", gauge)
    files |= edited_csv("presses", lambda grid: put(grid, 2, "gauges", GAUGES))
    press = reviewed_without_report(files).tables["presses"][0]
    assert getattr(press, "gauges", ()) == tuple(GAUGES.split(";"))
