"""A row without its source is refused: a number that nobody can trace is nobody's."""

import pytest
from openpyxl import Workbook

from catalog.rows import TABLES, Row
from tests.publish.office import (
    Grid,
    edited_csv,
    edited_workbook,
    places,
    put,
    refused,
    sheet_column,
)

WITH_SOURCE = sorted(name for name, kind in TABLES.items() if issubclass(kind, Row))


@pytest.mark.parametrize("table", WITH_SOURCE)
def test_a_blank_source_is_told_in_every_table(table: str) -> None:
    (bad,) = refused(edited_csv(table, lambda grid: put(grid, 2, "source", "")))
    assert (bad.line, bad.column, bad.rule) == (2, "source", "blank")
    assert "name the document" in bad.remedy


@pytest.mark.parametrize(
    ("table", "column"), [("sizes", "geometry_source"), ("materials", "temp_source")]
)
def test_a_blank_source_of_a_part_is_told(table: str, column: str) -> None:
    assert places(refused(edited_csv(table, lambda grid: put(grid, 3, column, "")))) == [
        (3, column, "blank")
    ]


def test_every_row_is_told() -> None:
    def edit(grid: Grid) -> None:
        for row in range(2, len(grid) + 1):
            put(grid, row, "source", "")

    bad = refused(edited_csv("rings", edit))
    assert places(bad) == [(row, "source", "blank") for row in range(2, 18)]


def test_a_cleared_cell_of_a_sheet_is_blank() -> None:
    def edit(book: Workbook) -> None:
        book["targets"].cell(11, sheet_column(book, "targets", "source")).value = None

    assert places(refused(edited_workbook(edit))) == [(11, "source", "blank")]


@pytest.mark.parametrize("value", [" ", "\u00a0", "-", "?", "unknown source"])
def test_what_is_no_id_is_no_source(value: str) -> None:
    (bad,) = refused(edited_csv("rings", lambda grid: put(grid, 2, "source", value)))
    assert bad.rule in {"stray-space", "control-letter", "runs-as-formula", "wrong-form"}
