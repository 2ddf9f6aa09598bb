"""Rows back to what the loader reads: CSV text, or a workbook that an office edits."""

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from catalog.loading.columns import Column, columns_of
from catalog.loading.figures import DIGITS
from catalog.loading.texts import LIST_MARK
from catalog.loading.workbook import ABOUT, REVISION
from catalog.rows import AnyRow

_FIRST_DAY: Final = datetime(1980, 1, 1)  # noqa: DTZ001 - a workbook knows no zone
_WIDEST: Final = 60
_LAST_ROW: Final = 1_048_575
_LONGEST_LIST: Final = 255
"""Letters of all words together that a spreadsheet takes as a list to choose from."""


_ABOUT: Final = {
    "to change a table": "edit its sheet, save as .xlsx, and propose it on this base alone",
    "what is proposed": "every sheet that is named as a table; leave out those that stay",
    "a blank cell": "is not said; the head of a column says what it wants",
}


def cell_text(value: Any) -> str:
    """Cell that says `value`: the inverse of what the loader reads.

    >>> cell_text(1e-05), cell_text(16.0), cell_text(("a", "b")), cell_text(None)
    ('0.00001', '16', 'a;b', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        # A power of ten is no plain number: the loader refuses it as a spreadsheet's.
        plain = format(Decimal(f"{value:.{DIGITS}g}"), "f")
        return "0" if plain == "-0" else plain
    if isinstance(value, tuple):
        return LIST_MARK.join(value)
    return str(value)


def csv_from_rows(table: str, rows: Sequence[AnyRow]) -> str:
    """CSV text of one table, header first, lines ended by a line feed."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    columns = list(columns_of(table))
    writer.writerow(columns)
    writer.writerows([cell_text(getattr(row, c)) for c in columns] for row in rows)
    return out.getvalue()


def workbook_from_rows(tables: Mapping[str, Sequence[AnyRow]], revision: str = "") -> bytes:
    """Workbook of these tables, a sheet each, that the loader reads back to the same rows.

    Numbers are numbers; all else is text, in columns formatted as text, so that the spreadsheet
    makes no date of it. Each head says what its column wants, and closed lists are chosen from.
    With the id of their revision a last sheet says what the workbook is. The same rows give the
    same bytes.

    Errors: `ValueError` for no table at all: a workbook has a sheet.
    """
    # Here, and not above: a service that only answers writes no workbook.
    import xlsxwriter

    if not tables:
        message = "a workbook has one table or more"
        raise ValueError(message)
    out = io.BytesIO()
    plain = dict.fromkeys(("strings_to_formulas", "strings_to_urls", "strings_to_numbers"), False)
    with xlsxwriter.Workbook(out, {"in_memory": True, **plain}) as book:
        # A library stamps the hour, unless it is told one.
        book.set_properties({"created": _FIRST_DAY})
        text = book.add_format({"num_format": "@"})
        head = book.add_format({"num_format": "@", "bold": True})
        for table, rows in tables.items():
            _fill(book.add_worksheet(table), columns_of(table), rows, text, head)
        if revision:
            sheet = book.add_worksheet(ABOUT)
            sheet.set_column(0, 0, 20, head)
            sheet.set_column(1, 1, 100, text)
            for line, (name, told) in enumerate({REVISION: revision, **_ABOUT}.items()):
                sheet.write_string(line, 0, name, head)
                sheet.write_string(line, 1, told, text)
    return out.getvalue()


def _fill(
    sheet: Any, columns: Mapping[str, Column], rows: Sequence[AnyRow], text: Any, head: Any
) -> None:
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, max(len(rows), 1), len(columns) - 1)
    for at, (name, column) in enumerate(columns.items()):
        cells = [cell_text(getattr(row, name)) for row in rows]
        width = min(max(len(name), *map(len, cells), 0) + 3, _WIDEST)
        sheet.set_column(at, at, width, None if column.is_number else text)
        sheet.write_string(0, at, name, head)
        wanted = column.wanted + ("" if column.needed else "; blank where it is not said")
        sheet.write_comment(0, at, wanted, {"author": ""})
        if words := _words(column):
            sheet.data_validation(1, at, _LAST_ROW, at, {"validate": "list", "source": words})
        for line, cell in enumerate(cells, start=1):
            if not column.is_number:
                # A blank cell keeps its format, so that what is entered there later stays a text.
                (sheet.write_string if cell else sheet.write_blank)(line, at, cell, text)
            elif cell:
                sheet.write_number(line, at, float(cell))


def _words(column: Column) -> list[str]:
    """Words to choose from, where a spreadsheet can offer them."""
    words = ["yes", "no"] if column.form == "truth" else list(column.words)
    fits = sum(len(word) + 1 for word in words) <= _LONGEST_LIST
    return words if fits and column.form != "list" else []
