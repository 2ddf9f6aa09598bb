"""CSV as spreadsheets of many countries write it: semicolons between cells, commas in numbers.

It is read where nothing can be taken for something else: the header is exactly the table's, no
number has a point, and at least one comma cannot part thousands. Each number is told.
"""

import csv
import io
import re
from typing import Final

from msgspec import structs

from catalog.loading.columns import Column, columns_of
from catalog.loading.faults import Problem, shown

MARK: Final = ";"
WORKBOOK: Final = "or send the workbook (.xlsx)"
_DECIMAL: Final = re.compile("-?[0-9]+,[0-9]+")
_COMMA: Final = re.compile("[-+\u2212]?[0-9]*,[0-9]+")
_POINT: Final = re.compile("(?<=[0-9])[.](?=[0-9])")
_MAYBE_THOUSANDS: Final = re.compile("-?[1-9][0-9]{0,2}(,[0-9]{3})+")


def is_semicolon_form(table: str, first_line: str) -> bool:
    """Whether a first line is exactly the header of the table, parted by semicolons."""
    return [name.strip('"') for name in first_line.split(MARK)] == list(columns_of(table))


def decimal_comma_shown(table: str, text: str) -> bool:
    """Whether some number of the table has a comma that cannot part thousands.

    A text that is no CSV is refused where it is read, so nothing is said of its commas.
    """
    columns = list(columns_of(table).values())
    try:
        return any(
            _DECIMAL.fullmatch(cell) and not _MAYBE_THOUSANDS.fullmatch(cell)
            for cells in csv.reader(io.StringIO(text, newline=""), delimiter=MARK, strict=True)
            for column, cell in zip(columns, cells, strict=False)
            if column.is_number
        )
    except csv.Error:
        return True


def with_point(column: Column, cell: str, *, shown_elsewhere: bool) -> str | Problem:
    """Cell of a column of numbers with a decimal point, or why its comma is not read as one."""
    message = f"{shown(cell)} is not {column.wanted}"
    if "." in cell:
        advice = f"write a comma for the point alone, as a file with semicolons has it, {WORKBOOK}"
        return Problem("decimal-comma", f"{message}: a point beside semicolons", advice)
    if _DECIMAL.fullmatch(cell) and not shown_elsewhere:
        told = f"{message}: no number of the table shows that the comma parts no thousands"
        advice = f"write `{cell.replace(',', '')}` or `{cell}0`, as it is meant, {WORKBOOK}"
        return Problem("thousands-mark", told, advice)
    return cell.replace(",", ".") if _COMMA.fullmatch(cell) else cell


def in_commas(problem: Problem, cell: str, pointed: str) -> Problem:
    """The problem of a number as a file with decimal commas has it: the cell, and what to write."""
    return structs.replace(
        problem,
        message=problem.message.replace(shown(pointed), shown(cell)),
        remedy=_POINT.sub(",", problem.remedy).replace("point", "comma"),
    )
