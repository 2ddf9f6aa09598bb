"""One cell of text, or of a sheet, to the value that it says, or what is wrong with it.

A number of a sheet is read with the 15 digits that a spreadsheet shows: what it stores beyond them,
such as 0.30000000000000004 for 0.1 + 0.2, is dust that the office cannot see. A text that reads as
a plain number may stand in a column of numbers.
"""

import math
import re
from typing import Any, Final

import msgspec

from catalog.loading.columns import Column
from catalog.loading.faults import Problem, shown
from catalog.loading.figures import (
    DIGITS,
    ERROR_VALUES,
    error_value,
    number_of_text,
    out_of_bounds,
    whole_of,
)
from catalog.loading.sheet_cells import Cell
from catalog.loading.texts import AS_TEXT, LIST_MARK, stray_space, text_problem, too_long
from catalog.older import RENAMED

_STORED: Final = re.compile(r"[-+]?[0-9]{1,400}(?:[.][0-9]{0,400})?(?:[eE][-+]?[0-9]{1,4})?")
_AS_NUMBER: Final = "format the column as a plain number and enter the value again"
_TRUTH: Final = {"yes": True, "no": False}


def value_of_text(column: Column, text: str) -> Any:
    """Value that a cell says, its bounds still unchecked, or a `Problem`."""
    if text == "":
        return blank_of(column)
    if column.is_number:
        value = number_of_text(column, text)
        if column.form == "whole" and not isinstance(value, Problem):
            return whole_of(column, value, text)
        return value
    if column.form == "truth":
        return _TRUTH[text] if text in _TRUTH else _no_truth(column, text)
    problem = text_problem(column, text)
    if problem is not None:
        return problem
    return list_of_text(text) if column.form == "list" else text


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


def blank_of(column: Column) -> Any:
    """What a blank cell says in this column, or the `Problem` that it is blank."""
    if not column.needed:
        return column.blank
    if column.name.endswith("source"):
        remedy = "name the document that the row is from, by its id in the table `sources`"
    else:
        remedy = "fill it in; a row of which this is not known is left out"
    return Problem("blank", f"blank, and {column.wanted} is needed", remedy)


def list_of_text(text: str) -> tuple[str, ...]:
    """Items of a list as a cell writes it."""
    return tuple(part.strip(" ") for part in text.split(LIST_MARK))


def kept(column: Column, said: Any, value: Any) -> Problem | None:
    """What is wrong with a value of the right form that the column does not take.

    `said` is what stands in the cell, in the unit in which it was sent.
    """
    problem = item_problem(value) if column.form == "list" else None
    if problem is not None:
        return problem
    try:
        msgspec.convert(value, column.kind)
    except msgspec.ValidationError:
        return _not_taken(column, said, value)
    return None


def item_problem(items: tuple[str, ...]) -> Problem | None:
    """What is wrong with the items of a list that its type does not say."""
    for item in items:
        if item == "" or LIST_MARK in item or item != item.strip(" "):
            return Problem(
                "list-item",
                f"{shown(LIST_MARK.join(items))} has an item that is blank or holds"
                f" a space or `{LIST_MARK}`",
                f"part the items by one `{LIST_MARK}`, with nothing before the first or after the"
                " last",
            )
    return None


def _not_taken(column: Column, said: Any, value: Any) -> Problem:
    if column.sent_as:
        return out_of_bounds(column, said, became=value)
    if column.is_number:
        return out_of_bounds(column, f"{value:.15g}")
    told = LIST_MARK.join(value) if isinstance(value, tuple) else value
    if told in ERROR_VALUES:
        return error_value(told)
    message = f"{shown(told)} is not {column.wanted}"
    if column.is_closed:
        return Problem("not-in-list", message, _list_advice(column, told))
    items = value if isinstance(value, tuple) else (value,)
    if column.longest is not None and any(len(item) > column.longest for item in items):
        return too_long(column, told)
    if column.form == "list":
        return Problem("wrong-form", message, _list_advice(column, told))
    remedy = "write it with letters, digits and `. _ + -` alone, a letter or a digit first"
    return Problem("wrong-form", message, remedy if column.is_id else "write it in that form")


def _list_advice(column: Column, text: str) -> str:
    if text in RENAMED:
        return f"write `{RENAMED[text]}`, as it is called now"
    if column.form != "list":
        return "choose one of them, in the same letters"
    advice = f"part the items by `{LIST_MARK}`" if "," in text else "choose each from what is known"
    return f"{advice}, in the same letters"


def _no_truth(column: Column, text: str) -> Problem:
    if text.strip() in _TRUTH:
        return stray_space(text)
    if text in ERROR_VALUES:
        return error_value(text)
    return Problem("not-yes-or-no", f"{shown(text)} is not {column.wanted}", "write `yes` or `no`")
