"""Rows go out as CSV, JSON or a workbook and come back as the same canonical bytes."""

import csv
import io
from collections.abc import Sequence

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from catalog.loading import (
    csv_from_rows,
    rows_from_csv,
    rows_from_json,
    tables_from_workbook,
    workbook_from_rows,
)
from catalog.revision import revision_of, table_bytes
from catalog.rows import TABLES, AnyRow
from catalog.seed import shipped_revision
from tests.catalog.loading.rows_of_any_kind import rows_of


@pytest.mark.parametrize("table", sorted(TABLES))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_by_every_way(table: str, data: st.DataObject) -> None:
    # Drawing rows takes longer than sending them, so each list goes every way.
    rows = data.draw(rows_of(table))
    for goes in (_by_csv, _by_csv_as_a_spreadsheet_quotes_it, _by_json, _by_workbook):
        goes(table, rows)


def _by_csv(table: str, rows: Sequence[AnyRow]) -> None:
    text = csv_from_rows(table, rows)
    back, bad = rows_from_csv(table, text)
    assert bad == []
    assert table_bytes(back) == table_bytes(rows)
    assert csv_from_rows(table, back) == text


def _by_csv_as_a_spreadsheet_quotes_it(table: str, rows: Sequence[AnyRow]) -> None:
    out = io.StringIO()
    lines = csv.reader(io.StringIO(csv_from_rows(table, rows), newline=""))
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(lines)
    back, bad = rows_from_csv(table, out.getvalue())
    assert bad == []
    assert table_bytes(back) == table_bytes(rows)


def _by_json(table: str, rows: Sequence[AnyRow]) -> None:
    back, bad = rows_from_json(table, msgspec.json.decode(msgspec.json.encode(rows)))
    assert bad == []
    assert table_bytes(back) == table_bytes(rows)
    lines = [msgspec.json.decode(line) for line in table_bytes(rows).splitlines()]
    assert table_bytes(rows_from_json(table, lines)[0]) == table_bytes(rows)


def _by_workbook(table: str, rows: Sequence[AnyRow]) -> None:
    book = workbook_from_rows({table: rows})
    back, bad = tables_from_workbook(book)
    assert bad == []
    assert table_bytes(back[table]) == table_bytes(rows)
    assert workbook_from_rows(back) == book


def test_all_shipped_tables_by_a_workbook_that_was_opened_and_saved() -> None:
    revision = shipped_revision()
    book = load_workbook(io.BytesIO(workbook_from_rows(revision.tables)))
    assert book.sheetnames == list(TABLES)
    out = io.BytesIO()
    book.save(out)
    back, bad = tables_from_workbook(out.getvalue())
    assert bad == []
    assert revision_of(back).id == revision.id


@pytest.mark.parametrize("value", [1e-05, 1e-9, 1e20, 123456789012345.0, 0.1, 16.0, -0.0])
def test_a_number_of_any_size_is_written_plainly(value: float) -> None:
    row = shipped_revision().tables["cases"][0]
    changed = msgspec.structs.replace(row, dial_low=value)
    for back, bad in (
        rows_from_csv("cases", csv_from_rows("cases", [changed])),
        rows_from_json("cases", [msgspec.to_builtins(changed)]),
    ):
        assert bad == []
        assert table_bytes(back) == table_bytes([changed])
    tables, bad = tables_from_workbook(workbook_from_rows({"cases": [changed]}))
    assert bad == []
    assert table_bytes(tables["cases"]) == table_bytes([changed])
