"""A table with more rows than the limit is refused, quickly, and a flood of faults is counted."""

import time
from functools import cache

import pytest
from openpyxl import Workbook

from catalog.loading import Limits, csv_from_rows, workbook_from_rows
from catalog.rows import AnyRow
from catalog.seed import shipped_revision
from tests.publish.office import (
    BOOK,
    Grid,
    edited_csv,
    edited_workbook,
    places,
    refused,
    taken,
    with_parts,
)

pytestmark = pytest.mark.apart

SOME = Limits(rows_a_table=423)
FEW = Limits(rows_a_table=335)
PATIENCE_S = 20.0


def many(count: int) -> list[AnyRow]:
    rows = shipped_revision().tables["targets"]
    return [rows[n % len(rows)] for n in range(count)]


@cache
def files_of(count: int) -> list[dict[str, bytes]]:
    rows = many(count)
    return [
        {"targets.csv": csv_from_rows("targets", rows).encode()},
        {BOOK: workbook_from_rows({"targets": rows})},
    ]


def without_last_row(files: dict[str, bytes]) -> dict[str, bytes]:
    if BOOK not in files:
        return {name: text[: text.rindex(b"\n", 0, -1) + 1] for name, text in files.items()}
    end = b"</sheetData>"

    def cut(sheet: bytes) -> bytes:
        return sheet[: sheet.rindex(b"<row ")] + sheet[sheet.index(end) :]

    return {BOOK: with_parts(files[BOOK], {"xl/worksheets/sheet1.xml": cut})}


def test_as_many_as_the_limit_are_taken_and_one_more_is_not() -> None:
    for files in files_of(423):
        assert len(taken(files, SOME)["targets"]) == 423
        # The header is row 1: the 423rd row of the table stands in row 424.
        assert places(refused(files, FEW)) == [(337, "", "too-many-rows")]
        assert "more than 335 rows" in refused(files, FEW)[0].message


def test_the_usual_limit_is_20_000() -> None:
    for files in files_of(20_001):
        start = time.process_time()
        assert places(refused(files)) == [(20_002, "", "too-many-rows")]
        assert time.process_time() - start < PATIENCE_S


def test_20_000_rows_are_taken_in_seconds() -> None:
    # Cut from those of one more, which take longer to write than to read.
    for files in map(without_last_row, files_of(20_001)):
        start = time.process_time()
        assert len(taken(files)["targets"]) == 20_000
        assert time.process_time() - start < PATIENCE_S


def test_a_flood_of_bad_cells_is_counted() -> None:
    text = csv_from_rows("targets", many(20_000)).replace("carbon-steel", "steel")
    count = text.count(",steel,")
    assert count > 5000
    start = time.process_time()
    bad = refused({"targets.csv": text.encode()}, Limits(told=50))
    assert time.process_time() - start < PATIENCE_S
    assert len(bad) == 51
    assert bad[-1].rule == "too-many-faults"
    assert bad[-1].message.startswith(f"{count - 50} more bad cells")


def test_blank_rows_at_the_end_are_no_rows() -> None:
    def edit(book: Workbook) -> None:
        for row in range(425, 480):
            book["targets"].cell(row, 1).number_format = "@"

    assert len(taken(edited_workbook(edit, rows=None), SOME)["targets"]) == 423
    blank = edited_csv("targets", lambda grid: grid.extend([[""] * 14] * 40))
    assert len(taken(blank, SOME)["targets"]) == 423


@pytest.mark.parametrize(("count", "told"), [(1, "row 5 is"), (3, "rows 5 to 7 are")])
def test_a_blank_row_between_others_is_told(count: int, told: str) -> None:
    def edit(grid: Grid) -> None:
        grid[4:4] = [[""] * 14 for _ in range(count)]

    def edit_sheet(book: Workbook) -> None:
        book["targets"].insert_rows(5, count)

    for files in (edited_csv("targets", edit), edited_workbook(edit_sheet)):
        (bad,) = refused(files)
        assert (bad.line, bad.rule) == (5, "blank-row")
        assert bad.message.startswith(told)


def test_a_row_far_below_costs_nothing() -> None:
    def edit(book: Workbook) -> None:
        book["targets"].cell(1_048_576, 1).value = "S"

    start = time.process_time()
    rules = [cell.rule for cell in refused(edited_workbook(edit))]
    assert rules[0] == "blank-row"
    assert set(rules[1:]) == {"blank"}
    assert time.process_time() - start < PATIENCE_S
