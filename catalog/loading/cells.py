"""One cell of text to the value that it says, or what is wrong with it."""

from typing import Any, Final

import msgspec

from catalog.loading.columns import Column
from catalog.loading.faults import Problem, shown
from catalog.loading.figures import (
    ERROR_VALUES,
    error_value,
    number_of_text,
    out_of_bounds,
    whole_of,
)
from catalog.loading.texts import LIST_MARK, stray_space, text_problem, too_long
from catalog.older import RENAMED

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
