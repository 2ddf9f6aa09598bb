"""The shipped tables as an office edits them in a spreadsheet, and what is told of the result.

A CSV is edited as rows of cells or as text. A workbook is edited through openpyxl, which stands in
for the office's spreadsheet: it reads and writes the format by code that is not ours.
"""

import csv
import io
import re
import zipfile
from collections.abc import Callable, Iterable, Mapping

from openpyxl import Workbook, load_workbook

from catalog.loading import BadCell, Limits, tables_from_files, workbook_from_rows
from catalog.rows import AnyRow
from catalog.seed import shipped_revision
from tests.service.commands import SHIPPED

Grid = list[list[str]]
"""Rows of cells, the header first: row n of a spreadsheet is item n - 1."""
BOOK = "tables.xlsx"
USUAL = Limits()
FEW_ROWS = 40
"""Rows of a workbook that is edited: opening and saving takes by far the longest of such a test."""
_BEGINNING = re.compile("[a-z0-9`]|[A-Z]{1,3}[0-9]+ ")
"""A message begins small, with what was entered, or with the address of a cell."""


def shipped_text(table: str) -> str:
    """CSV text of a shipped table."""
    return (SHIPPED / f"{table}.csv").read_text(encoding="utf-8")


def edited_csv(table: str, edit: Callable[[Grid], None]) -> dict[str, bytes]:
    """Files to send: one shipped table as CSV, its cells changed in place by `edit`."""
    grid = list(csv.reader(io.StringIO(shipped_text(table), newline="")))
    before = [list(cells) for cells in grid]
    edit(grid)
    assert grid != before, f"{table}: the edit changed nothing"
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows(grid)
    return {f"{table}.csv": out.getvalue().encode()}


def edited_text(table: str, edit: Callable[[str], str]) -> dict[str, bytes]:
    """Files to send: one shipped table as CSV, its text changed."""
    text = edit(shipped_text(table))
    assert text != shipped_text(table), f"{table}: the edit changed nothing"
    return {f"{table}.csv": text.encode()}


def edited_workbook(
    edit: Callable[[Workbook], object],
    tables: Iterable[str] = ("targets", "sizes"),
    rows: int | None = FEW_ROWS,
) -> dict[str, bytes]:
    """Files to send: one workbook of shipped tables, opened, changed by `edit` and saved."""
    book = load_workbook(io.BytesIO(shipped_workbook(tables, rows)))
    edit(book)
    out = io.BytesIO()
    book.save(out)
    return {BOOK: out.getvalue()}


def shipped_workbook(tables: Iterable[str], rows: int | None = None) -> bytes:
    """A workbook of shipped tables, as an office gets it; with `rows` their first ones alone."""
    shipped = shipped_revision().tables
    return workbook_from_rows({table: shipped[table][:rows] for table in tables})


def with_parts(book: bytes, parts: Mapping[str, bytes | Callable[[bytes], bytes]]) -> bytes:
    """A workbook file with parts put in or changed: what no spreadsheet would write."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(book)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in dict.fromkeys([*old.namelist(), *parts]):
            part = parts.get(name)
            if part is None:
                new.writestr(name, old.read(name))
            elif callable(part):
                changed = part(old.read(name))
                assert changed != old.read(name), f"{name}: the change changed nothing"
                new.writestr(name, changed)
            else:
                new.writestr(name, part)
    return out.getvalue()


def column_at(grid: Grid, column: str) -> int:
    """Place of a column in the rows of a grid."""
    return grid[0].index(column)


def put(grid: Grid, row: int, column: str, value: str) -> None:
    """Enter a value in row `row` of the spreadsheet, the header being 1."""
    grid[row - 1][column_at(grid, column)] = value


def sheet_column(book: Workbook, table: str, column: str) -> int:
    """Number of a column in a sheet, the first being 1."""
    header = next(book[table].iter_rows(max_row=1, values_only=True))
    return header.index(column) + 1


def refused(files: Mapping[str, bytes], limits: Limits = USUAL) -> list[BadCell]:
    """Every bad cell of files that must not be taken, each said as a person can use it."""
    _, bad = tables_from_files(files, limits)
    assert bad, "nothing was found wrong"
    for cell in bad:
        assert _BEGINNING.match(cell.message), cell
        assert not cell.message.endswith("."), cell
        assert cell.remedy, cell
        assert not cell.remedy.endswith("."), cell
        assert len(cell.value) <= 200, cell
    return bad


def taken(files: Mapping[str, bytes], limits: Limits = USUAL) -> dict[str, list[AnyRow]]:
    """Rows of files in which nothing is wrong."""
    tables, bad = tables_from_files(files, limits)
    assert bad == []
    return tables


def places(bad: Iterable[BadCell]) -> list[tuple[int, str, str]]:
    """Row, column and rule of every bad cell."""
    return [(cell.line, cell.column, cell.rule) for cell in bad]
