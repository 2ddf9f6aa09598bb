"""Decoded JSON rows to typed rows: numbers are numbers, lists are lists, null is a blank.

Every column must be there, null for a blank: what is left out is never taken for blank.
"""

import sys
from collections.abc import Sequence
from typing import Any, Final

from catalog.loading.cells import blank_of, value_of_text
from catalog.loading.columns import Column, columns_of
from catalog.loading.faults import (
    USUAL,
    BadCell,
    Conversion,
    Faults,
    Limits,
    Problem,
    shown,
    too_many_rows,
)
from catalog.loading.figures import DIGITS, out_of_bounds, too_many_digits, whole_of
from catalog.loading.header import column_missing, doubled, no_such_column, taken
from catalog.loading.rows import row_of
from catalog.loading.texts import text_problem
from catalog.rows import AnyRow

_LARGEST: Final = sys.float_info.max


def rows_from_json(
    table: str,
    items: Sequence[Any],
    limits: Limits = USUAL,
    converted: list[Conversion] | None = None,
) -> tuple[list[AnyRow], list[BadCell]]:
    """Rows of one table from decoded JSON objects, and every bad value; the first object is 1.

    Strict: a number is a number, a list a list, null a blank, and every column is there.
    """
    faults = Faults(limits.told, converted)
    if len(items) > limits.rows_a_table:
        faults.add(table, limits.rows_a_table + 1, "", "", too_many_rows(limits))
        return [], faults.cells()
    rows = [_row(table, line, item, faults) for line, item in enumerate(items, start=1)]
    return [row for row in rows if row is not None], faults.cells()


def _row(table: str, line: int, item: Any, faults: Faults) -> AnyRow | None:
    if not isinstance(item, dict):
        message = f"{shown(item)} is not a row: an object with a member for each column is wanted"
        faults.add(table, line, "", item, Problem("not-a-row", message, "send rows as objects"))
        return None
    before = faults.count
    given: dict[str, tuple[str, Column]] = {}
    for name in item:
        column = taken(table, name, faults)
        if column is None:
            faults.add(table, line, name, item[name], no_such_column(table, name))
        elif column.name in given:
            faults.add(table, line, name, item[name], doubled(name, given[column.name][0]))
        else:
            given[column.name] = (name, column)
    for name in columns_of(table):
        if name not in given:
            faults.add(table, line, name, "", column_missing(name))
    # In the order of the table, whatever that of the object.
    ordered = [given[name] for name in columns_of(table) if name in given]
    cells = {c.name: (c, item[name], _value(c, item[name])) for name, c in ordered}
    row = row_of(table, line, cells, faults)
    return row if faults.count == before else None


def _value(column: Column, value: Any) -> Any:
    if value is None:
        return blank_of(column)
    if column.is_number:
        return _number(column, value)
    if column.form == "truth":
        return value if isinstance(value, bool) else _other(column, value, "not-yes-or-no")
    if column.form == "list":
        return _list(column, value)
    if not isinstance(value, str):
        return _other(column, value, "not-a-text")
    if value == "":
        # In a text without a least length a blank and an empty text are one.
        return blank_of(column) if column.needed or column.blank == "" else _empty(column)
    return text_problem(column, value) or value


def _number(column: Column, value: Any) -> float | Problem:
    if isinstance(value, str):
        read = value_of_text(column, value) if value else _empty(column)
        if isinstance(read, Problem):
            return read
        message = f"{shown(value)} is a text, and {column.wanted} is wanted"
        return Problem("not-a-number", message, "send the number without quotes")
    if isinstance(value, bool) or not isinstance(value, int | float):
        return _other(column, value, "truth-value" if isinstance(value, bool) else "not-a-number")
    if not abs(value) <= _LARGEST:
        return out_of_bounds(column, value)
    number = float(value)
    if number != float(f"{number:.{DIGITS}g}") or number != value:
        return too_many_digits(value, number)
    return whole_of(column, number, value) if column.form == "whole" else number + 0.0


def _list(column: Column, value: Any) -> tuple[str, ...] | Problem:
    if not isinstance(value, list | tuple):
        return _other(column, value, "not-a-list")
    for item in value:
        if not isinstance(item, str):
            return _other(column, item, "not-a-text")
        if item and (problem := text_problem(column, item)) is not None:
            return problem
    return tuple(value)


def _other(column: Column, value: Any, rule: Any) -> Problem:
    wanted = "true or false" if column.form == "truth" else column.wanted
    remedy = {
        "truth-value": "send a number",
        "not-a-number": "send a number",
        "not-yes-or-no": "send true or false, without quotes",
        "not-a-text": "send a text in quotes",
        "not-a-list": "send a list of texts, empty where there is none",
    }[rule]
    return Problem(rule, f"{shown(value)} is not {wanted}", remedy)


def _empty(column: Column) -> Problem:
    return Problem("blank", f"an empty text, and {column.wanted} is wanted", "send null for blank")
