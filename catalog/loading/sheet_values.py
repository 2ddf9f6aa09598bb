"""One cell of a sheet to the value that it says, or what is wrong with it.

A number is read with the 15 digits that a spreadsheet shows: what it stores beyond them, such as
0.30000000000000004 for 0.1 + 0.2, is dust that the office cannot see. A text that reads as a plain
number may stand in a column of numbers.
"""

import math
import re
from typing import Any, Final

from catalog.loading.cells import blank_of, value_of_text
from catalog.loading.columns import Column
from catalog.loading.faults import Problem, shown
from catalog.loading.figures import DIGITS, error_value, out_of_bounds, whole_of
from catalog.loading.sheet_cells import Cell
from catalog.loading.texts import AS_TEXT

_STORED: Final = re.compile(r"[-+]?[0-9]{1,400}(?:[.][0-9]{0,400})?(?:[eE][-+]?[0-9]{1,4})?")
_AS_NUMBER: Final = "format the column as a plain number and enter the value again"


def value_of_cell(column: Column, cell: Cell | None, address: str) -> Any:
    """Value that a cell says, its bounds still unchecked, or a `Problem`."""
    if cell is None:
        return blank_of(column)
    match cell.kind:
        case "text":
            return value_of_text(column, cell.text)
        case "number":
            return _of_number(column, cell, address)
        case "truth" if column.form == "truth":
            return cell.text == "yes"
        case "truth":
            message = f"{address} holds true or false, and {column.wanted} is wanted"
            return Problem("truth-value", message, "enter the value again")
        case "error":
            return error_value(cell.text)
        case "formula":
            return formula(cell, address)
        case _:
            message = f"{address} holds a date, and {column.wanted} is wanted"
            return Problem("spreadsheet-date", message, _AS_NUMBER if column.is_number else AS_TEXT)


def formula(cell: Cell, address: str) -> Problem:
    """The problem of a cell whose value depends on others."""
    message = f"{address} holds a formula, {shown(cell.text)}"
    return Problem("formula", message, "copy the cell and paste it as a value")


def _of_number(column: Column, cell: Cell, address: str) -> Any:
    if not column.is_number:
        message = f"{address} holds a number, {shown(cell.text)}, and {column.wanted} is wanted"
        if column.form == "truth":
            return Problem("not-yes-or-no", message, "write `yes` or `no`")
        return Problem("spreadsheet-number", message, AS_TEXT)
    if cell.shows:
        message = f"the format of {address} shows percent, a unit or a part of {shown(cell.text)}"
        return Problem("number-format", message, f"{_AS_NUMBER}, as the source has it")
    if not _STORED.fullmatch(cell.text):
        message = f"{shown(cell.text)} is not {column.wanted}"
        return Problem("not-a-number", message, _AS_NUMBER)
    value = float(f"{float(cell.text):.{DIGITS}g}")
    if not math.isfinite(value):
        return out_of_bounds(column, cell.text)
    return whole_of(column, value, cell.text) if column.form == "whole" else value + 0.0
