"""A revision as one SQLite file: typed, keyed, with sources and units, for any SQL tool."""

import sqlite3
import typing
from contextlib import closing
from pathlib import Path
from typing import Any, Final

import sqlite_utils
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
}


def write_sqlite(revision: Revision, file: Path) -> None:
    """Write a revision to a new SQLite file.

    Errors: `OSError` or `sqlite3.Error` where the file cannot be written.
    """
    with closing(sqlite3.connect(file)) as connection:
        database = sqlite_utils.Database(connection)
        for name, rows in revision.tables.items():
            _create(database, name)
            told = [_told(row) for row in rows]
            database.table(name).insert_all(told, batch_size=500)
        units = [
            {"table_name": name, "column_name": column, "unit": unit}
            for name, kind in TABLES.items()
            for column in kind.__struct_fields__
            for unit in (_unit(column),)
            if unit
        ]
        database.table("units").insert_all(units, pk=("table_name", "column_name"), strict=True)
        about = [{"revision": revision.id, "format": revision.manifest.format}]
        database.table("about").insert_all(about, pk="revision", strict=True)


def _create(database: sqlite_utils.Database, name: str) -> None:
    kind = TABLES[name]
    hints = typing.get_type_hints(kind, include_extras=True)
    columns = {column: _column_type(hints[column]) for column in kind.__struct_fields__}
    sources = [c for c in columns if c.endswith("source")] if issubclass(kind, Row) else []
    database.table(name).create(
        columns,
        pk=kind.key_columns if len(kind.key_columns) > 1 else kind.key_columns[0],
        foreign_keys=[(column, "sources", "id") for column in sources],
        strict=True,
    )


def _column_type(kind: Any) -> type:
    info = inspect.type_info(kind)
    parts = info.types if isinstance(info, inspect.UnionType) else (info,)
    kinds = {type(p.type if isinstance(p, inspect.Metadata) else p) for p in parts}
    if inspect.FloatType in kinds:
        return float
    return int if kinds & {inspect.IntType, inspect.BoolType} else str


def _told(row: Any) -> dict[str, Any]:
    values = structs.asdict(row)
    return {
        column: cell_text(value) if isinstance(value, tuple) else value
        for column, value in values.items()
    }


def _unit(column: str) -> str:
    return next((unit for end, unit in _SUFFIX_UNITS.items() if column.endswith(end)), "")
