"""A text that a spreadsheet would run when the table is exported is refused; numbers stay."""

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

RUNS = [
    "=1+1",
    '=HYPERLINK("http://example.invalid","ok")',
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "=",
    "-",
    "-abc",
    "--4",
    "-4;-cmd",
    "see;=1+1",
    "\uff1d1+1",
]


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("sources", "title"),
        ("sources", "note"),
        ("sizes", "designation"),
        ("cautions", "text"),
        ("cases", "arithmetic"),
    ],
)
@pytest.mark.parametrize("text", RUNS)
def test_a_text_that_would_run_is_told(table: str, column: str, text: str) -> None:
    bad = refused(edited_csv(table, lambda grid: put(grid, 2, column, text)))
    assert places(bad) == [(2, column, "runs-as-formula")]
    assert "would run as a formula" in bad[0].message


@pytest.mark.parametrize("text", RUNS)
def test_in_an_id_too(text: str) -> None:
    (bad,) = refused(edited_csv("gauges", lambda grid: put(grid, 2, "id", text)))
    assert (bad.line, bad.column) == (2, "id")


def test_in_an_item_of_a_list_too() -> None:
    files = edited_csv("cases", lambda grid: put(grid, 2, "codes", "tube.too-hard;=1+1"))
    assert places(refused(files)) == [(2, "codes", "runs-as-formula")]


@pytest.mark.parametrize("text", ["-4", "-10", "-40", "-0.5", "\u221240", "a-4", "4-a", "(=)"])
def test_numbers_and_what_does_not_run_are_taken(text: str) -> None:
    files = edited_csv("sizes", lambda grid: put(grid, 3, "designation", text))
    assert text in [row.designation for row in taken(files)["sizes"]]  # type: ignore[union-attr]


@pytest.mark.parametrize("value", ["-41", "40"])
def test_a_number_in_a_column_of_numbers_is_a_number(value: str) -> None:
    files = edited_csv("materials", lambda grid: put(grid, 2, "temp_min_c", value))
    assert taken(files)["materials"][0].temp_min_c == float(value)  # type: ignore[union-attr]


@pytest.mark.parametrize("text", ["+1+1", "@SUM(A1)", "-abc"])
def test_a_text_cell_of_a_sheet_is_told_too(text: str) -> None:
    def edit(book: Workbook) -> None:
        cell = book["sizes"].cell(3, sheet_column(book, "sizes", "designation"))
        cell.value = text
        cell.data_type = "s"

    assert places(refused(edited_workbook(edit))) == [(3, "designation", "runs-as-formula")]


@pytest.mark.parametrize(
    ("letter", "code"),
    [("\0", "U+0000"), ("\n", "U+000A"), ("\u200b", "U+200B"), ("\u202e", "U+202E")],
)
def test_letters_that_cannot_be_seen_are_told(letter: str, code: str) -> None:
    files = edited_csv("sources", lambda grid: put(grid, 2, "title", f"Tubes{letter}, part 1"))
    (bad,) = refused(files)
    assert (bad.line, bad.column, bad.rule) == (2, "title", "control-letter")
    assert code in bad.message
