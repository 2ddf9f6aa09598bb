"""Ids and marks that a spreadsheet has turned into dates or numbers are refused."""

from datetime import date, datetime, time
from typing import Any

import pytest
from openpyxl import Workbook

from tests.publish.office import (
    edited_csv,
    edited_workbook,
    places,
    put,
    refused,
    sheet_column,
    taken,
)

DATES = [
    "08-May",
    "8-May",
    "May-08",
    "08. Mai",
    "8-Mrz",
    "16-Jul-20",
    "2026-05-08",
    "2026-05-08 00:00:00",
    "08/05/2026",
    "8.5.26",
]
NUMBERS = ["1.60E+02", "1,6E+02", "4E+10", "1E-05"]


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("sizes", "designation"),
        ("sizes", "thread"),
        ("sizes", "series"),
        ("sizes", "source"),
        ("cones", "id"),
        ("presses", "gauges"),
    ],
)
@pytest.mark.parametrize("value", [*DATES, *NUMBERS])
def test_a_date_or_number_in_a_mark_is_told(table: str, column: str, value: str) -> None:
    rule = "spreadsheet-date" if value in DATES else "spreadsheet-number"
    (bad,) = refused(edited_csv(table, lambda grid: put(grid, 3, column, value)))
    assert (bad.line, bad.column, bad.value, bad.rule) == (3, column, value, rule)
    assert "format the column as text" in bad.remedy


def test_one_item_of_a_list_is_enough() -> None:
    files = edited_csv("presses", lambda grid: put(grid, 3, "gauges", "gauge-a;08-May"))
    assert places(refused(files)) == [(3, "gauges", "spreadsheet-date")]


@pytest.mark.parametrize("value", ["7/16-20", "M16x1.5", "-10", "1 5/16-12", "Marking-3", "G1/2"])
def test_threads_and_designations_of_the_trade_are_taken(value: str) -> None:
    files = edited_csv("sizes", lambda grid: put(grid, 3, "thread", value))
    assert value in [row.thread for row in taken(files)["sizes"]]  # type: ignore[union-attr]


@pytest.mark.parametrize("text", ["read on 08-May", "2026-05-08", "1.60E+02 kN"])
def test_prose_may_hold_a_date(text: str) -> None:
    assert taken(edited_csv("sources", lambda grid: put(grid, 3, "note", text)))


@pytest.mark.parametrize(
    ("value", "rule"),
    [
        (4, "spreadsheet-number"),
        (-4, "spreadsheet-number"),
        (date(2026, 5, 8), "spreadsheet-date"),
        (datetime(2026, 5, 8, 12, 0), "spreadsheet-date"),  # noqa: DTZ001
        (time(12, 30), "spreadsheet-date"),
        (True, "truth-value"),
    ],
)
@pytest.mark.parametrize("column", ["designation", "series", "thread", "source"])
def test_a_cell_that_is_no_text_is_told(column: str, value: Any, rule: str) -> None:
    def edit(book: Workbook) -> None:
        cell = book["sizes"].cell(5, sheet_column(book, "sizes", column))
        cell.number_format = "General"
        cell.value = value

    (bad,) = refused(edited_workbook(edit))
    assert (bad.table, bad.line, bad.column, bad.rule) == ("sizes", 5, column, rule)


def test_a_number_that_became_a_date_is_told() -> None:
    # 27.5 typed where the office writes a decimal comma becomes the 27th of May.
    def edit(book: Workbook) -> None:
        book["targets"].cell(5, sheet_column(book, "targets", "force_kn")).value = date(2026, 5, 27)

    (bad,) = refused(edited_workbook(edit))
    assert (bad.line, bad.column, bad.rule) == (5, "force_kn", "spreadsheet-date")
    assert "plain number" in bad.remedy


def test_a_designation_typed_as_text_is_taken() -> None:
    def edit(book: Workbook) -> None:
        cell = book["sizes"].cell(2, sheet_column(book, "sizes", "designation"))
        assert cell.number_format == "@"
        cell.value = "-40"

    assert taken(edited_workbook(edit))["sizes"][0].designation == "-40"  # type: ignore[union-attr]
