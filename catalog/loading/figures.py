"""A number as a text: read, or told why it is none."""

import math
import re
from typing import Final

from catalog.loading.columns import UNITS, Column, spelt, stem_and_unit
from catalog.loading.faults import Problem, shown
from catalog.loading.texts import CELL_LETTERS, PLAIN_NUMBER, lost_text, stray_space, too_long
from catalog.quantities import COLUMN_DIGITS
from catalog.wanted import wanted

DIGITS: Final = COLUMN_DIGITS

_ERRORS: Final = "#N/A #REF! #NAME? #VALUE! #DIV/0! #NULL! #NUM! #SPILL! #CALC! #GETTING_DATA"
ERROR_VALUES: Final = frozenset(_ERRORS.split())
"""What a spreadsheet shows where a formula fails."""
_THOUSANDS: Final = re.compile(
    r"[-+]?[0-9]{1,3}(?:(?:,[0-9]{3})+(?:[.][0-9]+)?|(?:[.][0-9]{3})+,[0-9]+|(?:[.][0-9]{3}){2,}"
    r"|(?:[ '\u2019\u00a0\u202f\u2009][0-9]{3})+(?:[.,][0-9]+)?)"
)
_COMMA: Final = re.compile(r"[-+\u2212]?[0-9]*,[0-9]+")
_WITH_UNIT: Final = re.compile(r"[-+\u2212]?[0-9][0-9.,/]*[ \u00a0\u202f\u2009]{0,3}([^0-9 .,].*)")
_SIGNS: Final = {'"': "in", "\u2033": "in", "''": "in", "'": "ft", "\u00b0": "deg", "%": "percent"}


def number_of_text(column: Column, text: str) -> float | Problem:
    """Number that a text says, or what is wrong with it; its bounds are not checked here."""
    if len(text) > CELL_LETTERS:
        return too_long(column, text)
    if not PLAIN_NUMBER.fullmatch(text):
        return _no_number(column, text)
    if len(text) > DIGITS and len(text.lstrip("-").replace(".", "").strip("0")) > DIGITS:
        return too_many_digits(text, float(text))
    value = float(text)
    return value + 0.0 if math.isfinite(value) else out_of_bounds(column, text)


def whole_of(column: Column, value: float, told: object) -> int | Problem:
    """Whole number that a number is, or what is wrong with it."""
    if value != int(value):
        return Problem(
            "not-whole", f"{shown(told)} is not {column.wanted}", "give a number without a part"
        )
    return int(value)


def too_many_digits(told: object, value: float) -> Problem:
    """The problem of a number that no spreadsheet would keep."""
    advice = f"write it with at most {DIGITS} digits"
    rounded = f", such as {value:.{DIGITS}g}" if math.isfinite(value) else ""
    return Problem(
        "too-many-digits", f"{shown(told)} has more than {DIGITS} digits", advice + rounded
    )


def out_of_bounds(column: Column, told: object, became: float = math.inf) -> Problem:
    """The problem of a number that the column does not take; `became` is it in our unit."""
    of_unit = f", which is in {spelt(column.sent_unit)}" if column.sent_unit else ""
    message = f"{shown(told)} is not {column.wanted}"
    if column.sent_as:
        ours = spelt(stem_and_unit(column.name)[1])
        in_ours = f", which is {became:.{DIGITS}g} {ours}," if math.isfinite(became) else ""
        message = f"{shown(told)}{in_ours} is not {wanted(column.kind)} {ours}"
    return Problem(
        "out-of-bounds",
        message,
        f"check the number and its unit against the source of the row: the column is"
        f" `{column.sent_name}`{of_unit}",
    )


def _no_number(column: Column, text: str) -> Problem:
    message = f"{shown(text)} is not {column.wanted}"
    if text != text.strip():
        return stray_space(text)
    if text in ERROR_VALUES:
        return error_value(text)
    if text.startswith("="):
        return Problem("formula", f"{message}: a formula", "paste the number as a value")
    if (lost := lost_text(text)) is not None:
        return lost
    if _THOUSANDS.fullmatch(text):
        return Problem(
            "thousands-mark",
            message,
            "write the number with no mark between the thousands, and a point before the part:"
            " 1200 or 1200.5",
        )
    if _COMMA.fullmatch(text):
        point = text.replace(",", ".")
        return Problem("decimal-comma", message, f"write it with a decimal point: {point[:40]}")
    if (unit := _unit_of(text)) is not None:
        return _unit_in_cell(column, message, unit)
    return Problem("not-a-number", message, _advice(column, text))


def error_value(text: str) -> Problem:
    """The problem of a formula that has failed."""
    return Problem(
        "error-value",
        f"{shown(text)} is what a spreadsheet shows where a formula fails",
        "enter the value by hand",
    )


def _unit_of(text: str) -> str | None:
    found = _WITH_UNIT.fullmatch(text)
    if found is None:
        return None
    said = found[1].strip().casefold().rstrip(".")
    said = said.replace("\u00b2", "2").replace("\u00b3", "3").replace("^", "")
    said = said.replace("\u00b0c", "degc").replace("\u00b0f", "degf").replace("\u00b5", "u")
    said = _SIGNS.get(said, said).replace(" ", "")
    return said if said in UNITS or said in {"n/mm2", "kg/cm2"} else None


def _unit_in_cell(column: Column, message: str, unit: str) -> Problem:
    ours = column.sent_unit
    if ours and unit not in {ours, "deg" + ours}:
        remedy = f"convert it to {spelt(ours)} and write the number alone"
    else:
        remedy = "write the number alone: the unit stands in the name of the column"
        remedy = remedy if ours else "write the number alone"
    return Problem("unit-in-cell", f"{message}: it has the unit {spelt(unit)}", remedy)


def _advice(column: Column, text: str) -> str:
    if text.startswith("\u2212"):
        return "write the minus with the key beside the zero: -"
    if not column.needed and not any(letter.isdigit() for letter in text):
        return "leave the cell blank where the source says nothing"
    return "write the number alone, with digits and a point, such as 27.5"
