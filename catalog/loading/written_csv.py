"""Rows back to the CSV text that the loader reads."""

import csv
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from catalog.loading.columns import columns_of
from catalog.loading.figures import DIGITS
from catalog.loading.texts import LIST_MARK
from catalog.rows import AnyRow


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
