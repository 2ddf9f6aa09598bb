"""CSV text to typed rows, with every bad cell reported at once.

A cell is text. A list is parted by `;`, a truth is `yes` or `no`, a blank is "not said". Nothing is
guessed: a decimal comma, a thousands mark or a stray space in a number is a bad cell.

A whole file as spreadsheets of many countries write it, with semicolons between cells and commas in
numbers, is read where nothing can be taken for something else: the header is exactly the table's,
no number has a point, and at least one comma cannot part thousands. Each number is told.
"""

import csv
import io
import re
from collections.abc import Iterator, Sequence
from typing import Any, Final

from msgspec import structs

from catalog.loading.cells import value_of_text
from catalog.loading.columns import Column, columns_of
from catalog.loading.faults import Faults, Limits, Problem, blank_rows, shown, too_many_rows
from catalog.loading.header import HEADER_LINE, header_of
from catalog.loading.rows import row_of
from catalog.rows import AnyRow

_MARK: Final = ";"
_WORKBOOK: Final = "or send the workbook (.xlsx)"
_DECIMAL: Final = re.compile("-?[0-9]+,[0-9]+")
_COMMA: Final = re.compile("[-+\u2212]?[0-9]*,[0-9]+")
_POINT: Final = re.compile("(?<=[0-9])[.](?=[0-9])")
_MAYBE_THOUSANDS: Final = re.compile("-?[1-9][0-9]{0,2}(,[0-9]{3})+")
_OTHER_MARKS: Final = {";": "semicolon", "\t": "tab", "|": "bar"}
_COMMAS: Final = f"save it again as CSV with commas and a decimal point, {_WORKBOOK}"


def csv_rows(table: str, text: str, limits: Limits, faults: Faults) -> list[AnyRow]:
    """Rows of one table from CSV text; every bad cell is told."""
    first_lines = [line.strip() for line in text[:10_000].lstrip("\ufeff").split("\n", 2)[:2]]
    mark = _mark(table, first_lines, takes_semicolons=faults.converted is not None)
    if isinstance(mark, Problem):
        faults.add(table, HEADER_LINE, "", text[:200].splitlines()[0], mark)
        return []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    rows: list[AnyRow] = []
    line = 0
    try:
        decimal = _decimal_comma_shown(table, text) if mark == _MARK else None
        names = next(reader, [])
        line = HEADER_LINE
        before = faults.count
        header = header_of(table, names, faults)
        whole = faults.count == before
        if not header:
            return []
        for line, cells in _filled(table, reader, limits, faults):
            row = _row(table, line, header, cells, faults, decimal=decimal)
            if row is not None and whole:
                rows.append(row)
    except csv.Error as error:
        faults.add(table, line + 1, "", "", _unreadable(error))
    return rows


def _filled(
    table: str, lines: Iterator[list[str]], limits: Limits, faults: Faults
) -> Iterator[tuple[int, list[str]]]:
    """Rows that are not blank, each with its number; blank ones between them are told."""
    filled, last = 0, HEADER_LINE
    for line, cells in enumerate(lines, start=HEADER_LINE + 1):
        if not any(cells):
            continue
        if line > last + 1:
            faults.add(table, last + 1, "", "", blank_rows(last + 1, line - 1))
        filled += 1
        if filled > limits.rows_a_table:
            faults.add(table, line, "", "", too_many_rows(limits))
            return
        yield line, cells
        last = line


def _row(
    table: str,
    line: int,
    header: list[Column | None],
    cells: list[str],
    faults: Faults,
    *,
    decimal: bool | None,
) -> AnyRow | None:
    if len(cells) != len(header):
        mark = "," if decimal is None else _MARK
        problem = _length(len(cells), len(header), mark)
        faults.add(table, line, "", mark.join(cells)[:200], problem)
        return None
    given = {
        column.name: (column, cell, _value(table, line, column, cell, faults, decimal=decimal))
        for column, cell in zip(header, cells, strict=True)
        if column is not None
    }
    return row_of(table, line, given, faults)


def _value(
    table: str, line: int, column: Column, cell: str, faults: Faults, *, decimal: bool | None
) -> Any:
    """Value of a cell; a number of a file with semicolons is told as it was read."""
    if decimal is None or not column.is_number:
        return value_of_text(column, cell)
    pointed = _with_point(column, cell, shown_elsewhere=decimal)
    if isinstance(pointed, Problem):
        return pointed
    value = value_of_text(column, pointed)
    if isinstance(value, Problem):
        return _in_commas(value, cell, pointed)
    if pointed != cell:
        faults.add_converted(table, line, column, cell, value)
    return value


def _length(cells: int, columns: int, mark: str) -> Problem:
    message = f"{cells} cells under {columns} columns"
    if cells < columns:
        return Problem("row-length", message, "add the cells that are missing, blank or not")
    if mark == _MARK:
        remedy = "look for a semicolon in a text or a list: put it in double quotes"
    else:
        remedy = (
            "look for a decimal comma, or a comma in a text: write a decimal point, and put the"
            " text in double quotes"
        )
    return Problem("row-length", message, remedy)


def _mark(table: str, first_lines: Sequence[str], *, takes_semicolons: bool) -> str | Problem:
    """Mark between the cells, by the first lines of the file."""
    first, *others = first_lines
    if takes_semicolons and _is_semicolon_form(table, first):
        return _MARK
    if first.casefold().startswith("sep="):
        message = f"the first line is `{first[:8]}`, which is a note to one spreadsheet"
        below = _mark(table, others, takes_semicolons=takes_semicolons) if others else ","
        then = f"; {below.remedy}" if isinstance(below, Problem) else ""
        return Problem("separator", message, f"delete that line{then}")
    for mark, name in _OTHER_MARKS.items():
        parts = [part.strip(" \"'") for part in first.split(mark)]
        if len(parts) > 1 and sum(part in columns_of(table) for part in parts) > 1:
            message = f"the cells are parted by a {name}, and a comma is wanted"
            return Problem("separator", message, _COMMAS)
    return ","


def _unreadable(error: csv.Error) -> Problem:
    if "field limit" in str(error):
        what = "a cell has more than 131072 letters: a double quote may be open from there on"
    elif "unexpected end" in str(error):
        what = "a double quote is opened and never closed"
    else:
        what = "a double quote stands where none may"
    return Problem(
        "unreadable",
        f"not readable as CSV: {what}",
        "save it again as CSV from the spreadsheet; a double quote in a text is written twice",
    )


def _is_semicolon_form(table: str, first_line: str) -> bool:
    """Whether a first line is exactly the header of the table, parted by semicolons."""
    return [name.strip('"') for name in first_line.split(_MARK)] == list(columns_of(table))


def _decimal_comma_shown(table: str, text: str) -> bool:
    """Whether some number of the table has a comma that cannot part thousands.

    A text that is no CSV is refused where it is read, so nothing is said of its commas.
    """
    columns = list(columns_of(table).values())
    try:
        return any(
            _DECIMAL.fullmatch(cell) and not _MAYBE_THOUSANDS.fullmatch(cell)
            for cells in csv.reader(io.StringIO(text, newline=""), delimiter=_MARK, strict=True)
            for column, cell in zip(columns, cells, strict=False)
            if column.is_number
        )
    except csv.Error:
        return True


def _with_point(column: Column, cell: str, *, shown_elsewhere: bool) -> str | Problem:
    """Cell of a column of numbers with a decimal point, or why its comma is not read as one."""
    message = f"{shown(cell)} is not {column.wanted}"
    if "." in cell:
        advice = f"write a comma for the point alone, as a file with semicolons has it, {_WORKBOOK}"
        return Problem("decimal-comma", f"{message}: a point beside semicolons", advice)
    if _DECIMAL.fullmatch(cell) and not shown_elsewhere:
        told = f"{message}: no number of the table shows that the comma parts no thousands"
        advice = f"write `{cell.replace(',', '')}` or `{cell}0`, as it is meant, {_WORKBOOK}"
        return Problem("thousands-mark", told, advice)
    return cell.replace(",", ".") if _COMMA.fullmatch(cell) else cell


def _in_commas(problem: Problem, cell: str, pointed: str) -> Problem:
    """The problem of a number as a file with decimal commas has it: the cell, and what to write."""
    return structs.replace(
        problem,
        message=problem.message.replace(shown(pointed), shown(cell)),
        remedy=_POINT.sub(",", problem.remedy).replace("point", "comma"),
    )
