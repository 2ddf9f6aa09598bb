"""Rows of older formats, read as rows of today: renamed words, and columns that are new."""

import re
from collections.abc import Callable
from typing import Any, Final

RENAMED: Final[dict[str, str]] = {
    "soft-seal": "elastomer-sealed",
    "at-closed-gap": "at-contact",
    "closing_reading": "contact_reading",
    "preparation.lubricated-soft-seal": "preparation.lubricated-elastomer",
    "press.closed-too-easily": "press.contact-too-easy",
}
"""Words of format 1 for what is now called otherwise: values, fields and codes of the contract."""

_IDS: Final = (
    (re.compile(r"J514"), "flareless"),
    (re.compile(r"(cone|ring)-J514-(.+)"), r"\1-flareless-\2"),
    (re.compile(r"(ring-.+)-soft-seal-(.+)"), r"\1-elastomer-sealed-\2"),
    (re.compile(r"plate-j-(.+)"), r"plate-inch-\1"),
    (re.compile(r"plate-m-(.+)"), r"plate-metric-\1"),
)


def renamed_id(text: str) -> str:
    """Id of today for an id of format 1; any other text as it is.

    >>> renamed_id("cone-J514-10"), renamed_id("press-b")
    ('cone-flareless-10', 'press-b')
    """
    for pattern, now in _IDS:
        if pattern.fullmatch(text):
            text = pattern.sub(now, text)
    return text


def renamed_ref(ref: str) -> str:
    """Name of today for the name of a row of format 1.

    >>> renamed_ref("targets/J514/12.7/1.18/1.31/carbon-steel/soft-seal/none")
    'targets/flareless/12.7/1.18/1.31/carbon-steel/elastomer-sealed/none'
    """
    return "/".join(RENAMED.get(part, renamed_id(part)) for part in ref.split("/"))


# What is not of a column's kind is passed on, for the row to refuse it.


def _word(value: Any) -> Any:
    return RENAMED.get(value, value) if isinstance(value, str) else value


def _id(value: Any) -> Any:
    return renamed_id(value) if isinstance(value, str) else value


def _words(value: Any) -> Any:
    return [_word(each) for each in value] if isinstance(value, list) else value


_FORMAT_1: Final[dict[str, dict[str, Callable[[Any], Any]]]] = {
    "series": {"id": _id},
    "sizes": {"series": _id},
    "rings": {"id": _id, "series": _id, "ring_style": _word, "finish": _word},
    "cones": {"id": _id, "series": _id},
    "plates": {"id": _id},
    "targets": {"series": _id, "ring_style": _word, "finish": _word},
    "cautions": {"code": _word},
    "cases": {"series": _id, "ring_style": _word, "codes": _words},
}
"""Columns of format 1 that hold a renamed word, and how each is read."""


_NEW_COLUMNS: Final[dict[str, dict[str, Any]]] = {
    "gauges": {"overload": None, "protected_to": None, "protected_tolerance": None},
}
"""Columns that format 1 did not have, with the value that its rows had without a word."""


def row_of_format_1(table: str, cells: dict[str, Any]) -> dict[str, Any]:
    """Cells of a row of format 1 as cells of today."""
    renamed = _FORMAT_1.get(table, {})
    today = {
        column: renamed[column](value) if column in renamed else value
        for column, value in cells.items()
    }
    return {**_NEW_COLUMNS.get(table, {}), **today}
