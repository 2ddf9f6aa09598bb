"""A decimal comma and a thousands mark are refused: 1,200 may be 1.2 or 1200."""

import pytest
from openpyxl import Workbook

from tests.publish.office import (
    Grid,
    edited_csv,
    edited_text,
    edited_workbook,
    places,
    put,
    refused,
    sheet_column,
)


@pytest.mark.parametrize(
    ("value", "rule", "advice"),
    [
        ("27,5", "decimal-comma", "27.5"),
        ("0,75", "decimal-comma", "0.75"),
        ("27,50001", "decimal-comma", "27.50001"),
        (",5", "decimal-comma", ".5"),
        ("1,200", "thousands-mark", "1200"),
        ("1.200,5", "thousands-mark", "1200.5"),
        ("1,200.5", "thousands-mark", "1200.5"),
        ("1 200", "thousands-mark", "1200"),
        ("1\u00a0200", "thousands-mark", "1200"),
        ("1\u202f200,5", "thousands-mark", "1200"),
        ("1'200", "thousands-mark", "1200"),
        ("1.200.000", "thousands-mark", "1200"),
    ],
)
def test_a_mark_of_another_country_is_told(value: str, rule: str, advice: str) -> None:
    files = edited_csv("targets", lambda grid: put(grid, 7, "force_kn", value))
    (bad,) = refused(files)
    assert (bad.line, bad.column, bad.value, bad.rule) == (7, "force_kn", value, rule)
    assert advice in bad.remedy


def test_a_comma_without_quotes_parts_the_cell_in_two() -> None:
    (bad,) = refused(edited_text("targets", lambda text: text.replace(",10.7,", ",10,7,", 1)))
    assert (bad.line, bad.rule) == (3, "row-length")
    assert bad.message == "15 cells under 14 columns"
    assert "decimal comma" in bad.remedy


def test_a_whole_column_is_told_cell_by_cell() -> None:
    bad = refused(edited_csv("gauges", lambda grid: _commas(grid, "class_percent")))
    assert places(bad) == [(row, "class_percent", "decimal-comma") for row in range(2, 10)]


def _commas(grid: Grid, column: str) -> None:
    for row in range(2, len(grid) + 1):
        put(grid, row, column, grid[row - 1][grid[0].index(column)].partition(".")[0] + ",6")


def test_a_text_in_a_column_of_numbers_of_a_sheet() -> None:
    def edit(book: Workbook) -> None:
        book["targets"].cell(9, sheet_column(book, "targets", "force_kn")).value = "27,5"

    assert places(refused(edited_workbook(edit))) == [(9, "force_kn", "decimal-comma")]
