"""The rows of one sheet to the rows of one table, told as they come."""

import re
from typing import Final

from catalog.loading.cells import formula, value_of_cell
from catalog.loading.columns import Column
from catalog.loading.faults import Faults, Limits, Problem, blank_rows, shown, too_many_rows
from catalog.loading.header import HEADER_LINE, header_of
from catalog.loading.package import EnoughError, refused
from catalog.loading.rows import row_of
from catalog.loading.sheet_cells import Cell, RowTaker, column_letters, column_number
from catalog.rows import AnyRow

_AREA_START: Final = re.compile("([A-Z]{1,3})([0-9]{1,7})")
_MOST_HIDDEN: Final = 1000
_UNHIDE: Final = "show it again, and check or delete what stands in it"


class SheetRows(RowTaker):
    """Takes the rows of a sheet and keeps those of the table; every bad cell is told."""

    def __init__(self, table: str, limits: Limits, faults: Faults) -> None:
        self.rows: list[AnyRow] = []
        self._table = table
        self._limits = limits
        self._faults = faults
        self._header: list[Column | None] | None = None
        self._names: list[str] = []
        self._is_whole = False
        self._hidden: list[tuple[int, int]] = []
        self._letters: list[str] = []
        self._last = HEADER_LINE
        self._filled = 0

    def hidden_columns(self, first: int, last: int) -> None:
        """Columns that are not seen, before any row."""
        if len(self._hidden) >= _MOST_HIDDEN:
            message = f"more than {_MOST_HIDDEN} groups of hidden columns"
            raise refused(message)
        self._hidden.append((first, last))

    def row(self, number: int, cells: dict[int, Cell], *, is_hidden: bool) -> None:
        """One row as it stands in the sheet, its number the office's."""
        if not cells:
            return
        if is_hidden:
            message = f"row {number} is hidden, and holds something"
            self._tell(number, "", "", Problem("hidden-row", message, _UNHIDE))
        if self._header is None:
            self._take_header(number, cells)
            return
        if number > self._last + 1:
            self._tell(self._last + 1, "", "", blank_rows(self._last + 1, number - 1))
        self._last = number
        self._filled += 1
        if self._filled > self._limits.rows_a_table:
            self._tell(number, "", "", too_many_rows(self._limits))
            raise EnoughError
        self._take(number, cells, self._header)

    def merged(self, area: str) -> None:
        """Cells that are joined to one, after the last row."""
        found = _AREA_START.match(area)
        column = column_number(found[1]) if found else 0
        name = self._names[column - 1] if 0 < column <= len(self._names) else ""
        message = f"the cells {shown(area)} are merged: the row of their value is not said"
        problem = Problem("merged", message, "unmerge the cells and fill in each of them")
        self._tell(int(found[2]) if found else 0, name, area, problem)

    def end(self) -> None:
        """The sheet has ended: one without any row has no header."""
        if self._header is None:
            header_of(self._table, [], self._faults)

    def _tell(self, line: int, column: str, value: str, problem: Problem) -> None:
        self._faults.add(self._table, line, column, value, problem)

    def _take_header(self, number: int, cells: dict[int, Cell]) -> None:
        before = self._faults.count
        self._last = number
        if number != HEADER_LINE:
            self._tell(HEADER_LINE, "", "", blank_rows(HEADER_LINE, number - 1))
        last = max(cells)
        self._names = [cells[n].text if n in cells else "" for n in range(1, last + 1)]
        self._letters = [column_letters(n) for n in range(1, last + 1)]
        for n, cell in sorted(cells.items()):
            if cell.kind == "formula":
                problem = formula(cell, f"{column_letters(n)}{number}")
                self._tell(number, "", cell.text, problem)
        self._header = header_of(self._table, self._names, self._faults)
        for n, name in enumerate(self._names, start=1):
            if any(first <= n <= end for first, end in self._hidden):
                message = f"column {column_letters(n)} is hidden: {shown(name)}"
                self._tell(number, name, name, Problem("hidden-column", message, _UNHIDE))
        self._is_whole = self._faults.count == before
        if not self._header:
            raise EnoughError

    def _take(self, number: int, cells: dict[int, Cell], header: list[Column | None]) -> None:
        beyond = [n for n in cells if n > len(header)]
        if beyond:
            address = f"{column_letters(min(beyond))}{number}"
            message = f"{address} holds something, and no column has its name above it"
            remedy = "name the column in the header, or delete the cell"
            problem = Problem("row-length", message, remedy)
            self._tell(number, "", cells[min(beyond)].text, problem)
        given: dict[str, tuple[Column, str, object]] = {}
        for n, column in enumerate(header, start=1):
            if column is not None:
                cell = cells.get(n)
                value = value_of_cell(column, cell, f"{self._letters[n - 1]}{number}")
                given[column.name] = (column, "" if cell is None else cell.text, value)
        row = row_of(self._table, number, given, self._faults)
        if row is not None and self._is_whole and not beyond:
            self.rows.append(row)
