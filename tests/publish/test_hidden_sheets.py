"""What nobody sees is refused: hidden sheets, rows and columns, and rows of no height."""

from typing import Literal

import pytest
from openpyxl import Workbook

from tests.publish.office import (
    BOOK,
    edited_workbook,
    places,
    refused,
    sheet_column,
    shipped_workbook,
    taken,
    with_parts,
)


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
def test_a_hidden_sheet_is_told(state: Literal["hidden", "veryHidden"]) -> None:
    def edit(book: Workbook) -> None:
        book["sizes"].sheet_state = state

    (bad,) = refused(edited_workbook(edit))
    assert (bad.table, bad.line, bad.rule) == ("sizes", 0, "hidden-sheet")


def test_a_hidden_sheet_of_another_name_is_told_too() -> None:
    def edit(book: Workbook) -> None:
        book.create_sheet("old numbers").sheet_state = "veryHidden"

    (bad,) = refused(edited_workbook(edit))
    assert (bad.table, bad.rule) == ("old numbers", "hidden-sheet")


def test_hidden_rows_are_told_each() -> None:
    def edit(book: Workbook) -> None:
        for row in (4, 5):
            book["targets"].row_dimensions[row].hidden = True

    assert places(refused(edited_workbook(edit))) == [(4, "", "hidden-row"), (5, "", "hidden-row")]


@pytest.mark.parametrize(
    ("written", "instead", "rows"),
    [
        (b'<row r="4"', b'<row r="4" ht="0" customHeight="1"', [4]),
        (b'<row r="4"', b'<row r="4" hidden="true"', [4]),
        (b'Height="15"', b'Height="15" zeroHeight="1"', [1, 2, 3, 4, 5, 6, 7, 8]),
    ],
)
def test_a_row_of_no_height_is_hidden(written: bytes, instead: bytes, rows: list[int]) -> None:
    book = with_parts(
        shipped_workbook(["derating"]),
        {"xl/worksheets/sheet1.xml": lambda part: part.replace(written, instead)},
    )
    assert places(refused({BOOK: book})) == [(row, "", "hidden-row") for row in rows]


def test_hidden_columns_are_told_each() -> None:
    def edit(book: Workbook) -> None:
        book["targets"].column_dimensions.group("B", "C", hidden=True)

    bad = refused(edited_workbook(edit))
    assert [(cell.line, cell.column, cell.rule) for cell in bad] == [
        (1, "od_mm", "hidden-column"),
        (1, "wall_min_mm", "hidden-column"),
    ]


def test_what_is_hidden_and_holds_nothing_is_no_fault() -> None:
    def edit(book: Workbook) -> None:
        book["targets"].column_dimensions["Z"].hidden = True
        book["targets"].row_dimensions[2000].hidden = True

    assert len(taken(edited_workbook(edit, rows=None))["targets"]) == 423


def test_a_value_beside_the_table_is_told() -> None:
    def edit(book: Workbook) -> None:
        last = sheet_column(book, "targets", "ceiling_kn")
        book["targets"].cell(7, last + 3).value = "check this one"

    (bad,) = refused(edited_workbook(edit))
    assert (bad.line, bad.rule, bad.value) == (7, "row-length", "check this one")
    assert bad.message.startswith("P7 holds something")
