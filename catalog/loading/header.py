"""The header of a table: which cells are which columns, and what is wrong with their names."""

import re
from collections.abc import Sequence
from typing import Final

from catalog.loading.columns import Column, columns_of, in_other_unit, spelt, stem_and_unit
from catalog.loading.faults import Faults, Problem, shown
from catalog.quantities import convertible_units

HEADER_LINE: Final = 1
# No table has 30; each name more would cost a look at all of them.
_MOST_COLUMNS: Final = 200
_NO_LETTER: Final = re.compile(r"[^a-z0-9]+")


def header_of(table: str, names: Sequence[str], faults: Faults) -> list[Column | None]:
    """Column under each name, None under a name that is none; every fault of the header is told."""
    columns = columns_of(table)
    if len(names) > _MOST_COLUMNS:
        message = f"{len(names)} columns, limit {_MOST_COLUMNS}"
        remedy = "delete the columns that the table does not have"
        faults.add(table, HEADER_LINE, "", "", Problem("header", message, remedy))
        return []
    if not any(taken(table, name, faults) for name in names):
        message = f"the first row names no column of `{table}`"
        problem = Problem("header", message, f"let the first row be: {','.join(columns)}")
        faults.add(table, HEADER_LINE, "", ",".join(names), problem)
        return []
    meant: set[str] = set()
    seen: dict[str, str] = {}
    header = [taken(table, name, faults) for name in names]
    for number, (name, column) in enumerate(zip(names, header, strict=True), start=1):
        if column is not None:
            if column.name in seen:
                faults.add(table, HEADER_LINE, name, name, doubled(name, seen[column.name]))
            seen[column.name] = name
        else:
            problem, column_meant = _unknown(columns, number, name)
            faults.add(table, HEADER_LINE, name, name, problem)
            meant.add(column_meant)
    for name in columns:
        if name not in seen and name not in meant:
            faults.add(table, HEADER_LINE, name, "", column_missing(name))
    return header


def taken(table: str, name: str, faults: Faults) -> Column | None:
    """Column that a name is, in another unit too where what is converted is told."""
    column = columns_of(table).get(name)
    if column is None and faults.converted is not None:
        return in_other_unit(table, name)
    return column


def column_missing(name: str) -> Problem:
    """The problem of a column, or a member of a JSON row, that is not there."""
    return Problem(
        "column-missing",
        f"column is missing: `{name}`",
        "add it, blank where the source says nothing" if name != "source" else _SOURCE_ADVICE,
    )


def no_such_column(table: str, name: str) -> Problem:
    """The problem of a name that is none of the table's columns."""
    return _unknown(columns_of(table), 0, name)[0]


_SOURCE_ADVICE: Final = "add it: every row names the document that it is from"


def doubled(name: str, other: str) -> Problem:
    """The problem of a column that stands twice, in one unit or in two."""
    return Problem(
        "column-doubled",
        f"column stands twice: `{name}`"
        + (f", and in another unit as `{other}`" if other != name else ""),
        "keep the one that holds and delete the other",
    )


def _unknown(columns: dict[str, Column], number: int, name: str) -> tuple[Problem, str]:
    """What is wrong with a name, and the column that was meant, if that is clear."""
    known = ", ".join(columns)
    if not name.strip():
        message = f"column {number} has no name: the columns are {known}"
        return Problem("header", message, "name the column, or delete it with all its cells"), ""
    plain = _NO_LETTER.sub("_", name[:200].strip().casefold()).strip("_")
    if plain in columns:
        message = f"no such column: {shown(name)}, `{plain}` is meant"
        return Problem("header", message, f"write it `{plain}`"), plain
    stem, unit = stem_and_unit(plain)
    for column in columns:
        ours, our_unit = stem_and_unit(column)
        if stem == ours and unit != our_unit:
            return _other_unit(name, unit, column, our_unit), column
    message = f"no such column: {shown(name)}, the columns are {known}"
    return Problem("header", message, "write the name of a column, or delete the column"), ""


def _other_unit(name: str, unit: str, column: str, our_unit: str) -> Problem:
    if not our_unit:
        return Problem(
            "unit-in-column",
            f"{shown(name)} has a unit, and the column is `{column}`",
            f"name it `{column}`: its unit stands in another column of the row; convert the values"
            " where they are in another unit",
        )
    if not unit:
        return Problem(
            "unit-in-column",
            f"{shown(name)} has no unit, and the column is `{column}`",
            f"check that the values are in {spelt(our_unit)}, convert them where not, and name it"
            f" `{column}`",
        )
    units = ", ".join(spelt(unit) for unit in convertible_units(our_unit))
    accepted = f" a proposal takes {units} too, and" if units else ""
    return Problem(
        "unit-in-column",
        f"{shown(name)} is in {spelt(unit)}, and the column is `{column}`",
        f"convert every value to {spelt(our_unit)} and name the column `{column}`;"
        f"{accepted} nothing is converted here",
    )
