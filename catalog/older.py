"""Rows of older formats, read as rows of today: renamed words, and columns that are new."""

import re
from collections.abc import Callable, Sequence
from typing import Any, Final, get_args

from catalog.terms import Family

RENAMED: Final[dict[str, str]] = {
    "soft-seal": "elastomer-sealed",
    "at-closed-gap": "at-contact",
    "closing_reading": "contact_reading",
    "preparation.lubricated-soft-seal": "preparation.lubricated-elastomer",
    "press.closed-too-easily": "press.contact-too-easy",
}
"""Words of format 1 for what is now called otherwise: values, fields and codes of the contract."""

MOVED: Final[dict[str, str]] = {
    "straight_length": "where there is no bend, leave it out and state `bend` as `none`",
    "other_end": "state it as `same`, or as `rated` with its pressure in `other_end_rating`",
}
"""Fields that once took another kind of value too, and where that is stated now."""

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


_NEW_COLUMNS: Final[dict[int, dict[str, dict[str, Any]]]] = {
    1: {"gauges": {"overload": None, "protected_to": None, "protected_tolerance": None}},
    2: {
        "materials": {"names": [], "least_bore_mm": None},
        "rings": {"od_mm": None, "oil_thread": False, "hold_s": None, "seal_material": None},
        "targets": {"grade": None, "ring": None},
        "preparation": {"tightest_bend_ods": 2.0},
    },
}
"""Columns that a format did not have, with the value that its rows had without a word."""
_LISTS: Final = ("cuts_accepted", "cuts_refused", "coatings_accepted", "coatings_refused")
_ZINC: Final = ("electroplated", "hot-dip-galvanised")


def row_of_older(written: int, table: str, cells: dict[str, Any]) -> dict[str, Any]:
    """Cells of a row of an older format as cells of today."""
    if written == 1:
        renamed = _FORMAT_1.get(table, {})
        cells = {
            column: renamed[column](value) if column in renamed else value
            for column, value in cells.items()
        }
    for before in range(written, 3):
        new = _NEW_COLUMNS[before].get(table, {})
        if later := new.keys() & cells.keys():
            message = f"format {written} has no column {', '.join(sorted(later))}"
            raise KeyError(message)
        cells = {**new, **cells}
    if table == "preparation":
        return {c: v for c, v in cells.items() if c not in {*_LISTS, "coating_source"}}
    if table == "rings" and not cells.get("fluids"):
        # No fluid was named, so none was meant; today a blank means all.
        return {**cells, "fluids": ["none"]}
    return cells


def tables_of_older(preparation: Sequence[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    """Rows of tables that formats 1 and 2 had as lists in the rows of `preparation`.

    What one of those rows refuses is refused; what one of them does not know is not known.
    """
    cuts: dict[str, dict[str, Any]] = {}
    coatings: dict[str, dict[str, Any]] = {}
    for row in preparation:
        for cut in (*row["cuts_accepted"], *row["cuts_refused"]):
            accepted = _accepted(cut, preparation, "cuts")
            if accepted is not None:
                cuts[cut] = {"id": cut, "accepted": accepted, "source": row["source"]}
        for coating in (*row["coatings_accepted"], *row["coatings_refused"]):
            accepted = _accepted(coating, preparation, "coatings")
            coatings[coating] = {
                "id": coating,
                "families_accepted": list(get_args(Family)) if accepted is True else [],
                "families_refused": list(get_args(Family)) if accepted is False else [],
                "zinc": coating in _ZINC,
                "source": row["coating_source"],
            }
    coatings.pop("none", None)
    return {"cut_methods": list(cuts.values()), "coatings": list(coatings.values())}


def _accepted(word: str, rows: Sequence[dict[str, Any]], what: str) -> bool | None:
    if any(word in row[f"{what}_refused"] for row in rows):
        return False
    return True if all(word in row[f"{what}_accepted"] for row in rows) else None
