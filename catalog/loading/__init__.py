"""Tables as an office has them to typed rows: CSV text, JSON rows, one workbook; and back.

A column may be sent in another unit (`force_lbf` for `force_kn`) where `converted` is given: each
of its numbers is converted exactly, and appended there. Without it, such a column is a bad cell.
"""

from collections.abc import Mapping
from typing import Any

from catalog.loading.csv_text import csv_rows
from catalog.loading.faults import BadCell, Conversion, Faults, Limits
from catalog.loading.files import file_tables
from catalog.loading.json_rows import json_rows
from catalog.loading.workbook import ABOUT, workbook_tables
from catalog.loading.written import cell_text, csv_from_rows, workbook_from_rows
from catalog.rows import AnyRow

__all__ = [
    "ABOUT",
    "BadCell",
    "Conversion",
    "Limits",
    "cell_text",
    "csv_from_rows",
    "rows_from_csv",
    "rows_from_json",
    "tables_from_files",
    "tables_from_workbook",
    "workbook_from_rows",
]

Loaded = tuple[list[AnyRow], list[BadCell]]
LoadedTables = tuple[dict[str, list[AnyRow]], list[BadCell]]

_USUAL = Limits()


def rows_from_csv(
    table: str, text: str, limits: Limits = _USUAL, converted: list[Conversion] | None = None
) -> Loaded:
    """Rows of one table from CSV text, and every bad cell; the header is line 1."""
    faults = Faults(limits.told, converted)
    return csv_rows(table, text, limits, faults), faults.cells()


def rows_from_json(
    table: str, items: list[Any], limits: Limits = _USUAL, converted: list[Conversion] | None = None
) -> Loaded:
    """Rows of one table from decoded JSON objects, and every bad value; the first object is 1.

    Strict: a number is a number, a list a list, null a blank, and every column is there.
    """
    faults = Faults(limits.told, converted)
    return json_rows(table, items, limits, faults), faults.cells()


def tables_from_workbook(content: bytes, limits: Limits = _USUAL) -> LoadedTables:
    """Rows of every table in one XLSX workbook, a sheet each, and every bad cell.

    The tables that are there are read, those that are not are left out.
    """
    faults = Faults(limits.told)
    return workbook_tables("", content, limits, faults), faults.cells()


def tables_from_files(
    files: Mapping[str, bytes],
    limits: Limits = _USUAL,
    converted: list[Conversion] | None = None,
    exported: list[str] | None = None,
) -> LoadedTables:
    """Rows of every table in CSV files and workbooks by name, and every bad cell of them all.

    To `exported` are appended the ids of the revisions that workbooks say they were exported from.
    """
    faults = Faults(limits.told, converted, exported)
    return file_tables(files, limits, faults), faults.cells()
