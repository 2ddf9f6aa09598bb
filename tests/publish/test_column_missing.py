"""A column that is left out is refused, never taken for blank."""

import pytest

from catalog.rows import TABLES
from tests.publish.office import Grid, edited_csv, edited_workbook, places, refused, sheet_column


@pytest.mark.parametrize("column", TABLES["targets"].__struct_fields__)
def test_every_column_is_missed(column: str) -> None:
    def edit(grid: Grid) -> None:
        at = grid[0].index(column)
        for cells in grid:
            del cells[at]

    bad = refused(edited_csv("targets", edit))
    assert places(bad) == [(1, column, "column-missing")]


def test_a_column_deleted_from_a_sheet_is_missed() -> None:
    bad = refused(
        edited_workbook(
            lambda book: book["sizes"].delete_cols(sheet_column(book, "sizes", "nut_hex_mm"))
        )
    )
    assert [(c.table, *p) for c, p in zip(bad, places(bad), strict=True)] == [
        ("sizes", 1, "nut_hex_mm", "column-missing")
    ]


def test_several_are_told_each() -> None:
    def edit(grid: Grid) -> None:
        for cells in grid:
            del cells[2:5]

    gone = ["wall_min_mm", "wall_max_mm", "od_mm"]
    told = [cell.column for cell in refused(edited_csv("targets", edit))]
    assert sorted(told) == sorted([*gone[:2], "family"])
