"""A cell that is worked out from others is refused with its address: a number must stand alone."""

import pytest
from openpyxl import Workbook
from openpyxl.worksheet.formula import ArrayFormula

from tests.publish.office import edited_workbook, refused, sheet_column


@pytest.mark.parametrize(
    ("table", "column", "formula"),
    [
        ("targets", "force_kn", "=H5*1.1"),
        ("targets", "series", '="S"'),
        ("sizes", "designation", "=-4"),
        ("sizes", "rated_pressure_bar", '=HYPERLINK("http://example.invalid","250")'),
    ],
)
def test_a_formula_is_told_with_its_address(table: str, column: str, formula: str) -> None:
    def edit(book: Workbook) -> None:
        book[table].cell(6, sheet_column(book, table, column)).value = formula

    (bad,) = refused(edited_workbook(edit))
    assert (bad.table, bad.line, bad.column, bad.rule) == (table, 6, column, "formula")
    assert bad.value == formula
    assert "6 holds a formula" in bad.message
    assert "paste it as a value" in bad.remedy


def test_the_address_is_the_sheets_own() -> None:
    def edit(book: Workbook) -> None:
        book["targets"]["J3"].value = "=1+1"

    (bad,) = refused(edited_workbook(edit))
    assert bad.message == "J3 holds a formula, `=1+1`"


def test_every_cell_of_a_filled_column_is_told() -> None:
    def edit(book: Workbook) -> None:
        at = sheet_column(book, "sizes", "min_straight_mm")
        for row in range(2, 12):
            book["sizes"].cell(row, at).value = f"=C{row}+1"

    bad = refused(edited_workbook(edit))
    assert [(cell.line, cell.rule) for cell in bad] == [(row, "formula") for row in range(2, 12)]


def test_a_formula_over_an_area_is_told() -> None:
    def edit(book: Workbook) -> None:
        book["targets"]["J3"].value = ArrayFormula("J3:J4", "=J5:J6")

    assert refused(edited_workbook(edit))[0].rule == "formula"


def test_a_header_that_is_a_formula_is_told() -> None:
    def edit(book: Workbook) -> None:
        book["sizes"]["A1"].value = '="series"'

    rules = {cell.rule for cell in refused(edited_workbook(edit))}
    assert "formula" in rules
