"""Merged cells are refused: the value of one is taken for all, and which rows are meant is lost."""

import time

import pytest
from openpyxl import Workbook

from tests.publish.office import (
    BOOK,
    edited_workbook,
    places,
    refused,
    sheet_column,
    shipped_workbook,
    with_parts,
)


def test_merged_cells_are_told_with_their_area() -> None:
    def edit(book: Workbook) -> None:
        at = sheet_column(book, "targets", "force_kn")
        book["targets"].merge_cells(start_row=3, end_row=5, start_column=at, end_column=at)

    bad = refused(edited_workbook(edit))
    # The cells below the first are blank now: they are told, and why they are.
    assert sorted(places(bad)) == [
        (3, "force_kn", "merged"),
        (4, "force_kn", "blank"),
        (5, "force_kn", "blank"),
    ]
    (area,) = [cell for cell in bad if cell.rule == "merged"]
    assert area.value == "J3:J5"


def test_merged_cells_of_a_header_are_told() -> None:
    bad = refused(edited_workbook(lambda book: book["sizes"].merge_cells("A1:B1")))
    assert {"merged", "column-missing"} <= {cell.rule for cell in bad}


def test_merged_cells_beside_the_table_are_told_too() -> None:
    bad = refused(edited_workbook(lambda book: book["sizes"].merge_cells("T40:U41")))
    assert places(bad) == [(40, "", "merged")]


@pytest.mark.parametrize("area", ["A1:XFD1048576", "A2:XFD2", "nonsense"])
def test_an_area_of_any_size_costs_nothing(area: str) -> None:
    merged = f'</sheetData><mergeCells count="1"><mergeCell ref="{area}"/></mergeCells>'
    book = with_parts(
        shipped_workbook(["derating"]),
        {"xl/worksheets/sheet1.xml": lambda part: part.replace(b"</sheetData>", merged.encode())},
    )
    start = time.process_time()
    assert [cell.rule for cell in refused({BOOK: book})] == ["merged"]
    assert time.process_time() - start < 1
