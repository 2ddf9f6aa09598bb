"""CSV text to typed rows, with every bad cell reported at once.

A cell is text. A list is parted by `;`, a truth is `yes` or `no`, a blank is "not said". Nothing is
guessed: a decimal comma, a thousands mark or a stray space in a number is a bad cell; only a whole
file of the form in `semicolons` is read, where it can be told.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any, Final

from catalog.loading.cells import value_of_text
from catalog.loading.columns import Column, columns_of
from catalog.loading.faults import Faults, Limits, Problem, blank_rows, too_many_rows
from catalog.loading.header import HEADER_LINE, header_of
from catalog.loading.rows import row_of
from catalog.loading.semicolons import (
    MARK,
    WORKBOOK,
    decimal_comma_shown,
    in_commas,
    is_semicolon_form,
    with_point,
)
from catalog.rows import AnyRow

_OTHER_MARKS: Final = {";": "semicolon", "\t": "tab", "|": "bar"}
_COMMAS: Final = f"save it again as CSV with commas and a decimal point, {WORKBOOK}"


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
        decimal = decimal_comma_shown(table, text) if mark == MARK else None
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
        mark = "," if decimal is None else MARK
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
    pointed = with_point(column, cell, shown_elsewhere=decimal)
    if isinstance(pointed, Problem):
        return pointed
    value = value_of_text(column, pointed)
    if isinstance(value, Problem):
        return in_commas(value, cell, pointed)
    if pointed != cell:
        faults.add_converted(table, line, column, cell, value)
    return value


def _length(cells: int, columns: int, mark: str) -> Problem:
    message = f"{cells} cells under {columns} columns"
    if cells < columns:
        return Problem("row-length", message, "add the cells that are missing, blank or not")
    if mark == MARK:
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
    if takes_semicolons and is_semicolon_form(table, first):
        return MARK
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
