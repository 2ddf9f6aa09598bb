"""The files that an office sends, by name: a CSV for a table, a workbook for several."""

from collections.abc import Mapping
from typing import Final

from catalog.loading.csv_text import csv_rows
from catalog.loading.faults import MIB, USUAL, BadCell, Conversion, Faults, Limits, Problem, shown
from catalog.loading.package import SAVE_AGAIN
from catalog.loading.workbook import table_doubled, unknown_table, workbook_tables
from catalog.rows import TABLES, AnyRow

_NO_NAME: Final = frozenset("/\\:\0")
_NAME_LETTERS: Final = 120
_MACROS: Final = frozenset({"xlsm", "xltm", "xlam"})


def tables_from_files(
    files: Mapping[str, bytes],
    limits: Limits = USUAL,
    converted: list[Conversion] | None = None,
    exported: list[str] | None = None,
) -> tuple[dict[str, list[AnyRow]], list[BadCell]]:
    """Rows of every table in CSV files and workbooks by name, and every bad cell of them all.

    To `exported` are appended the ids of the revisions that workbooks say they were exported from.
    A name is a name and never a place on a disk.
    """
    faults = Faults(limits.told, converted, exported)
    tables: dict[str, list[AnyRow]] = {}
    for name, content in files.items():
        for table, rows in _tables(name, content, limits, faults).items():
            if table in tables:
                faults.add(table, 0, "", name, table_doubled(table))
            else:
                tables[table] = rows
    return tables, faults.cells()


def text_of(table: str, name: str, content: bytes, faults: Faults) -> str | None:
    """Text of a CSV file, None where it is not UTF-8, which is told."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        message = f"{shown(name)} is not UTF-8: byte {error.start}, in line {line}, is of another"
        problem = Problem("not-utf-8", f"{message} code", "save it again as CSV in UTF-8")
        faults.add(table, line, "", name, problem)
        return None


def _tables(name: str, content: bytes, limits: Limits, faults: Faults) -> dict[str, list[AnyRow]]:
    stem, _, suffix = name.rpartition(".")
    suffix = suffix.casefold()
    if not stem or len(name) > _NAME_LETTERS or _NO_NAME & set(name) or not name.isprintable():
        message = f"{shown(name)} is not the name of a file"
        remedy = "name each file after its table, such as `targets.csv`"
        faults.add("", 0, "", name, Problem("file-name", message, remedy))
    elif suffix == "xlsx":
        return workbook_tables(name, content, limits, faults)
    elif suffix in _MACROS:
        message = f"{shown(name)} is a workbook with macros"
        faults.add("", 0, "", name, Problem("macros", message, SAVE_AGAIN))
    elif suffix != "csv":
        message = f"{shown(name)} is neither CSV nor a workbook (.xlsx)"
        remedy = "send a CSV for each table, or one workbook with a sheet for each"
        faults.add("", 0, "", name, Problem("file-kind", message, remedy))
    elif stem not in TABLES:
        faults.add(stem, 0, "", name, unknown_table(stem))
    else:
        return _of_csv(stem, name, content, limits, faults)
    return {}


def _of_csv(
    table: str, name: str, content: bytes, limits: Limits, faults: Faults
) -> dict[str, list[AnyRow]]:
    if len(content) > limits.file_bytes:
        message = f"{len(content) / MIB:.3g} MiB, limit {limits.file_bytes / MIB:.3g} MiB"
        problem = Problem("unpacks-too-large", message, "delete the rows that are not needed")
        faults.add(table, 0, "", name, problem)
        return {}
    text = text_of(table, name, content, faults)
    return {} if text is None else {table: csv_rows(table, text, limits, faults)}
