"""One workbook to typed rows: a sheet a table, with every bad cell reported at once."""

import re
from typing import Final

from catalog.loading.faults import Faults, Limits, Problem, shown
from catalog.loading.package import Package, WorkbookError
from catalog.loading.parts import Parts, Sheet, parts_of
from catalog.loading.sheet_cells import Cell, RowTaker, SheetCells
from catalog.loading.sheet_rows import SheetRows
from catalog.rows import TABLES, AnyRow

_NAME_LETTERS: Final = 80
KNOWN: Final = ", ".join(TABLES)
ABOUT: Final = "about"
"""Sheet that says what a workbook is: the revision that it was exported from."""
REVISION: Final = "revision"
_ID: Final = re.compile("sha256:[0-9a-f]{64}")


def workbook_tables(
    name: str, content: bytes, limits: Limits, faults: Faults
) -> dict[str, list[AnyRow]]:
    """Rows of every table in a workbook, `name` being the file's in what is told of all of it."""
    tables: dict[str, list[AnyRow]] = {}
    try:
        package = Package(content, limits)
        parts = parts_of(package)
        for sheet in parts.sheets:
            if sheet.name == ABOUT:
                _about(package, parts, sheet, faults)
                continue
            problem = _problem_of(sheet, tables)
            if problem is not None:
                faults.add(sheet.name[:_NAME_LETTERS], 0, "", sheet.name, problem)
            else:
                taker = SheetRows(sheet.name, limits, faults)
                _take(package, parts, sheet, taker)
                taker.end()
                tables[sheet.name] = taker.rows
    except WorkbookError as error:
        faults.add("", 0, "", name, error.problem)
    return tables


def unknown_table(name: str) -> Problem:
    """The problem of a sheet or file that is named like no table."""
    plain = name.strip().casefold()
    meant = f", `{plain}` is meant" if plain in TABLES and plain != name else ""
    return Problem(
        "unknown-table",
        f"no such table: {shown(name)}{meant}; the tables are {KNOWN}",
        f"name it `{plain}`" if meant else "name it as one of them, or leave it out",
    )


def table_doubled(table: str) -> Problem:
    """The problem of a table that comes twice."""
    message = f"the table `{table}` comes twice"
    return Problem("table-doubled", message, "send the one that holds and leave the other out")


class _About(RowTaker):
    """Takes the rows of the sheet that says what a workbook is; what it does not know it leaves."""

    def __init__(self) -> None:
        self.revision = ""

    def row(self, _number: int, cells: dict[int, Cell], *, is_hidden: bool) -> None:  # noqa: ARG002
        """A name in the first column, what is said of it in the second."""
        if {1, 2} <= cells.keys() and cells[1].text == REVISION:
            self.revision = cells[2].text.strip()


def _about(package: Package, parts: Parts, sheet: Sheet, faults: Faults) -> None:
    taker = _About()
    if sheet.is_table:
        _take(package, parts, sheet, taker)
    if faults.exported is not None and _ID.fullmatch(taker.revision):
        faults.exported.append(taker.revision)


def _problem_of(sheet: Sheet, tables: dict[str, list[AnyRow]]) -> Problem | None:
    if sheet.is_hidden:
        message = f"the sheet {shown(sheet.name)} is hidden"
        return Problem("hidden-sheet", message, "show it again and check it, or delete it")
    if not sheet.is_table:
        message = f"the sheet {shown(sheet.name)} is a chart or a dialogue, and a table is wanted"
        return Problem("unknown-table", message, "delete the sheet")
    if sheet.name not in TABLES:
        return unknown_table(sheet.name)
    return table_doubled(sheet.name) if sheet.name in tables else None


def _take(package: Package, parts: Parts, sheet: Sheet, taker: RowTaker) -> None:
    cells = SheetCells(parts, taker, package.elements_left)
    package.parse(sheet.part, cells)
    package.elements_left = cells.elements_left
