"""A revision as one SQLite file: typed, keyed, with sources and units, for any SQL tool."""

import sqlite3
import typing
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from msgspec import inspect, structs

from catalog.loading import cell_text
from catalog.revision import Revision
from catalog.rows import TABLES, Row

_SUFFIX_UNITS: Final = {
    "_mm": "mm",
    "_mpa": "MPa",
    "_bar": "bar",
    "_kn": "kN",
    "_cm2": "cm2",
    "_cm3": "cm3",
    "_c": "degC",
    "_deg": "deg",
    "_percent": "percent",
    "_days": "days",
    "_s": "s",
    "_kg_m3": "kg/m3",
}
_TOLD_BY: Final = {
    ("materials", "hardness_max"): "see hardness_scale",
    ("gauges", "span"): "see unit",
    ("gauges", "graduation"): "see unit",
    ("gauges", "overload"): "see unit",
    ("gauges", "protected_to"): "see unit",
    ("gauges", "protected_tolerance"): "see unit",
    ("cases", "od"): "see size_unit",
    ("cases", "wall"): "see size_unit",
    ("cases", "dial_low"): "see the unit of the gauge",
    ("cases", "dial_high"): "see the unit of the gauge",
    ("cases", "stop_at"): "see the unit of the gauge",
    ("cases", "never_exceed"): "see the unit of the gauge",
    ("cases", "within"): "see the number compared",
}
"""Columns whose unit differs from row to row, and where it stands."""


class ExportError(Exception):
    """A file that cannot be written."""


def write_sqlite(revision: Revision, file: Path) -> None:
    """Write a revision to a new SQLite file.

    Errors: `ExportError` where the file cannot be written.
    """
    try:
        with closing(sqlite3.connect(file)) as connection:
            _write(revision, connection)
    except sqlite3.Error as error:
        raise ExportError(str(error)) from error


def sqlite_bytes(revision: Revision) -> bytes:
    """Bytes of the SQLite file of a revision: the same for the same revision."""
    with closing(sqlite3.connect(":memory:")) as connection:
        _write(revision, connection)
        return connection.serialize()


def holds_revision(file: Path) -> bool:
    """Whether a file is one that `write_sqlite` wrote."""
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as connection:
            row = connection.execute("SELECT revision FROM about").fetchone()
            return row is not None and str(row[0]).startswith("sha256:")
    except sqlite3.Error:
        return False


def _write(revision: Revision, connection: sqlite3.Connection) -> None:
    # Here, and not above: it loads numpy, and a service that only answers exports nothing.
    from sqlite_utils import Database

    database = Database(connection)
    for name, rows in revision.tables.items():
        _create(database, name)
        database.table(name).insert_all([_told(row) for row in rows], batch_size=500)
    database.table("units").insert_all(_units(), pk=("table_name", "column_name"), strict=True)
    about = [{"revision": revision.id, "format": revision.manifest.format}]
    database.table("about").insert_all(about, pk="revision", strict=True)


def _create(database: Any, name: str) -> None:
    kind = TABLES[name]
    kinds = _cell_kinds(name)
    sources = [c for c in kinds if c.endswith("source")] if issubclass(kind, Row) else []
    database.table(name).create(
        {column: _column_type(cell) for column, cell in kinds.items()},
        pk=kind.key_columns if len(kind.key_columns) > 1 else kind.key_columns[0],
        foreign_keys=[(column, "sources", "id") for column in sources],
        not_null={column for column, cell in kinds.items() if inspect.NoneType not in cell},
        strict=True,
    )


def _cell_kinds(name: str) -> dict[str, set[type]]:
    kind = TABLES[name]
    hints = typing.get_type_hints(kind, include_extras=True)
    return {column: _kinds(hints[column]) for column in kind.__struct_fields__}


def _kinds(hint: Any) -> set[type]:
    info = inspect.type_info(hint)
    parts = info.types if isinstance(info, inspect.UnionType) else (info,)
    return {type(p.type if isinstance(p, inspect.Metadata) else p) for p in parts}


def _column_type(kinds: set[type]) -> type:
    if inspect.FloatType in kinds:
        return float
    return int if kinds & {inspect.IntType, inspect.BoolType} else str


def _told(row: Any) -> dict[str, Any]:
    values = structs.asdict(row)
    # No part of a key is null in SQL: a blank one is an empty text, as in the tables of the office.
    blank = {column: "" for column in row.key_columns if values[column] is None}
    return {
        column: cell_text(value) if isinstance(value, tuple) else value
        for column, value in (values | blank).items()
    }


def _units() -> Iterator[dict[str, str]]:
    """Unit of every column that holds numbers; 1 is a plain number, or 1 for yes and 0 for no."""
    for name in TABLES:
        for column, kinds in _cell_kinds(name).items():
            if _column_type(kinds) is not str:
                by_name = (unit for end, unit in _SUFFIX_UNITS.items() if column.endswith(end))
                unit = _TOLD_BY.get((name, column)) or next(by_name, "1")
                yield {"table_name": name, "column_name": column, "unit": unit}
