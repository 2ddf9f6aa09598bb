"""Where a number is wanted nothing else may stand, and what stands there is told by its kind."""

from typing import Any

import pytest
from openpyxl import Workbook

from tests.publish.office import (
    FEW_ROWS,
    edited_csv,
    edited_workbook,
    places,
    put,
    refused,
    sheet_column,
    taken,
)


@pytest.mark.parametrize(
    ("value", "rule"),
    [
        ("16 mm", "unit-in-cell"),
        ("16mm", "unit-in-cell"),
        ('5/8"', "unit-in-cell"),
        ("0.63 in.", "unit-in-cell"),
        ("ca. 16", "not-a-number"),
        ("16 (was 15)", "not-a-number"),
        ("sixteen", "not-a-number"),
        (">16", "not-a-number"),
        ("+16", "not-a-number"),
        ("016", "not-a-number"),
        (".5", "not-a-number"),
        ("5.", "not-a-number"),
        ("\u221216", "not-a-number"),
        ("\u0661\u0666", "not-a-number"),  # Arabic-Indic digits
        ("nan", "not-a-number"),
        ("inf", "not-a-number"),
        ("1e1", "not-a-number"),
        ("1.60E+01", "spreadsheet-number"),
        ("16-May", "spreadsheet-date"),
        ("=8+8", "formula"),
        ("#N/A", "error-value"),
        (" 16", "stray-space"),
        ("16\u00a0", "stray-space"),
        ("0.30000000000000004", "too-many-digits"),
        ("0", "out-of-bounds"),
        ("-16", "out-of-bounds"),
        ("1600", "out-of-bounds"),
        ("1" + "0" * 400, "out-of-bounds"),
        ("1" * 5000, "too-long"),
        ("", "blank"),
    ],
)
def test_what_is_no_number_is_told(value: str, rule: str) -> None:
    bad = refused(edited_csv("tubes", lambda grid: put(grid, 5, "od_mm", value)))
    assert places(bad) == [(5, "od_mm", rule)]
    assert bad[0].value == value[:200]


@pytest.mark.parametrize(
    ("table", "column", "value", "remedy"),
    [
        ("targets", "force_kn", "6200 lbf", "convert it to kN"),
        ("targets", "tolerance_percent", "8 %", "write the number alone"),
        ("sizes", "rated_pressure_bar", "5800psi", "convert it to bar"),
        ("materials", "temp_max_c", "120 \u00b0C", "write the number alone"),
        ("materials", "temp_max_c", "248 \u00b0F", "convert it to degC"),
        ("presses", "ram_area_cm2", "20 cm\u00b2", "write the number alone"),
    ],
)
def test_a_unit_is_told_with_what_to_do(table: str, column: str, value: str, remedy: str) -> None:
    (bad,) = refused(edited_csv(table, lambda grid: put(grid, 3, column, value)))
    assert (bad.line, bad.column, bad.rule) == (3, column, "unit-in-cell")
    assert bad.remedy.startswith(remedy)


def test_a_part_of_a_whole_is_told() -> None:
    (bad,) = refused(edited_csv("gauges", lambda grid: put(grid, 2, "due_soon_days", "30.5")))
    assert (bad.column, bad.rule) == ("due_soon_days", "not-whole")


@pytest.mark.parametrize("value", ["true", "1", "Yes", "ja", "YES"])
def test_a_truth_is_yes_or_no(value: str) -> None:
    (bad,) = refused(edited_csv("series", lambda grid: put(grid, 2, "preset", value)))
    assert (bad.column, bad.rule) == ("preset", "not-yes-or-no")


@pytest.mark.parametrize(
    ("value", "number_format"),
    [
        (0.08, "0%"),
        (0.08, "0.00%"),
        (8, '0.0" psi"'),
        (8000, "0.0,"),
        (8, "0\\m\\m"),
        (8, "0.0 [$psi]"),
        (8, '0.000\\"'),
        # What is shown is no part of the number: 29 for 31, 31 for 3.1, nothing at all.
        (31, '"29"'),
        (31, '[>30]"29";0.0'),
        (31, ";;;"),
        (31, "0.0;-0.0;"),
        (31, "29"),
        (31, '"2"0'),
        (3.1, '0"."0'),
        (31, "0\\5"),
        (31, "*20"),
        (31, "[$2]0"),
        (31, "[$2-409]0"),
        (31, "00:00"),
        # A sign that is not there, or is hidden.
        (31, "-0.0"),
        (31, '"-"0.0'),
        (31, "(0.0)"),
        (31, "0.0;0.0"),
        (31, "0.0;[Red]0.0"),
        (31, "[Red]" * 90 + "0.0"),
    ],
)
def test_a_format_that_shows_something_else_is_told(value: float, number_format: str) -> None:
    # Who types 8 % into a cell gets 0.08, a hundredth of what the column means.
    def edit(book: Workbook) -> None:
        cell = book["targets"].cell(4, sheet_column(book, "targets", "tolerance_percent"))
        cell.value = value
        cell.number_format = number_format

    assert places(refused(edited_workbook(edit))) == [(4, "tolerance_percent", "number-format")]


@pytest.mark.parametrize(
    "number_format",
    [
        *(
            "0.00",
            "#,##0.00",
            "General",
            "[Red]0.0",
            "# ?/?",
            "# ?/16",
            "0.00E+00",
            "0.00E-00",
            "@",
        ),
        *("0.00;-0.00", "#,##0.00;[Red]-#,##0.00", "0.00_);(0.00)", "0.00_);\\(0.00\\)", "0.00;@"),
        *("General;-General", "[<1]0.000;0.0", "0.00\\ ;\\-0.00\\ ", "# ##0.0", "[$-409]0.0"),
        '_(* #,##0.00_);_(* \\(#,##0.00\\);_(* "-"??_);_(@_)',
        '_-* #,##0.00\\ "\u20ac"_-;\\-* #,##0.00\\ "\u20ac"_-;_-* "-"??\\ "\u20ac"_-;_-@_-',
        "_-* #,##0.00\\ [$\u20ac-407]_-;\\-* #,##0.00\\ [$\u20ac-407]_-",
    ],
)
def test_a_format_that_shows_the_number_is_taken(number_format: str) -> None:
    def edit(book: Workbook) -> None:
        cell = book["targets"].cell(4, sheet_column(book, "targets", "tolerance_percent"))
        cell.number_format = number_format

    assert len(taken(edited_workbook(edit))["targets"]) == FEW_ROWS


@pytest.mark.parametrize(
    ("value", "rule"), [("#N/A", "error-value"), ("#REF!", "error-value"), (True, "truth-value")]
)
def test_what_a_sheet_holds_besides(value: Any, rule: str) -> None:
    def edit(book: Workbook) -> None:
        book["targets"].cell(6, sheet_column(book, "targets", "force_kn")).value = value

    assert places(refused(edited_workbook(edit))) == [(6, "force_kn", rule)]


def test_binary_dust_of_a_sheet_is_what_its_fifteen_digits_say() -> None:
    def edit(book: Workbook) -> None:
        book["tubes"].cell(2, sheet_column(book, "tubes", "od_tolerance_mm")).value = 0.1 + 0.2

    (row, *_) = taken(edited_workbook(edit, ["tubes"]))["tubes"]
    assert row.od_tolerance_mm == 0.3  # type: ignore[union-attr]
