"""Tables as an office has them to typed rows: CSV text, JSON rows, one workbook; and back.

A column may be sent in another unit (`force_lbf` for `force_kn`) where `converted` is given: each
of its numbers is converted exactly, and appended there. Without it, such a column is a bad cell.
"""

from catalog.loading.csv_text import csv_rows
from catalog.loading.faults import USUAL, BadCell, Conversion, Faults, Limits
from catalog.loading.files import tables_from_files
from catalog.loading.json_rows import rows_from_json
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


def rows_from_csv(
    table: str, text: str, limits: Limits = USUAL, converted: list[Conversion] | None = None
) -> tuple[list[AnyRow], list[BadCell]]:
    """Rows of one table from CSV text, and every bad cell; the header is line 1."""
    faults = Faults(limits.told, converted)
    return csv_rows(table, text, limits, faults), faults.cells()


def tables_from_workbook(
    content: bytes, limits: Limits = USUAL
) -> tuple[dict[str, list[AnyRow]], list[BadCell]]:
    """Rows of every table in one XLSX workbook, a sheet each, and every bad cell.

    The tables that are there are read, those that are not are left out.
    """
    faults = Faults(limits.told)
    return workbook_tables("", content, limits, faults), faults.cells()
