"""A column that stands twice is refused: which of the two holds cannot be known."""

from openpyxl import Workbook

from tests.publish.office import Grid, edited_csv, edited_workbook, places, refused


def test_a_column_that_stands_twice_is_told() -> None:
    def edit(grid: Grid) -> None:
        at = grid[0].index("force_kn")
        for cells in grid:
            cells.append(cells[at])

    assert places(refused(edited_csv("targets", edit))) == [(1, "force_kn", "column-doubled")]


def test_one_that_stands_three_times_is_told_twice() -> None:
    def edit(grid: Grid) -> None:
        for cells in grid:
            cells.extend([cells[0], cells[0]])

    told = places(refused(edited_csv("targets", edit)))
    assert told == [(1, "series", "column-doubled")] * 2


def test_in_a_sheet_too() -> None:
    def edit(book: Workbook) -> None:
        sheet = book["targets"]
        last = sheet.max_column + 1
        sheet.cell(1, last).value = "source"
        for row in range(2, sheet.max_row + 1):
            sheet.cell(row, last).value = "demo"

    assert places(refused(edited_workbook(edit))) == [(1, "source", "column-doubled")]
