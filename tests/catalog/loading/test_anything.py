"""Whatever is sent, the loader answers with rows or with bad cells; it never fails or hangs."""

import hashlib
import time
from typing import Any

import msgspec
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog.loading import BadCell, Limits, rows_from_csv, rows_from_json, tables_from_files
from catalog.rows import TABLES
from tests.publish.office import BOOK, shipped_text, shipped_workbook, with_parts

pytestmark = pytest.mark.apart

PLATES = shipped_text("plates")
HEADER = PLATES.partition("\n")[0] + "\n"
WORKBOOK = shipped_workbook(["derating"])
SHEET = "xl/worksheets/sheet1.xml"
PARTS = [SHEET, "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml", "_rels/.rels"]
many = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
PATIENCE_S = 20.0
NOISE = b"".join(hashlib.sha256(b"%d" % n).hexdigest().encode() for n in range(8_000))


def can_be_told(bad: list[BadCell]) -> bool:
    return all(cell.message and cell.remedy and msgspec.json.encode(cell) for cell in bad)


@many
@given(text=st.text(max_size=200))
def test_any_text(text: str) -> None:
    rows, bad = rows_from_csv("plates", HEADER + text)
    assert rows or bad or not text.strip("\r\n, ")
    assert can_be_told(bad)


@many
@given(cells=st.lists(st.text(max_size=30), min_size=5, max_size=5))
def test_any_cells_of_a_row(cells: list[str]) -> None:
    quoted = ",".join('"' + cell.replace('"', '""') + '"' for cell in cells)
    _, bad = rows_from_csv("plates", HEADER + quoted)
    assert can_be_told(bad)


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


@many
@given(data=st.data(), table=st.sampled_from(sorted(TABLES)))
def test_any_json(data: st.DataObject, table: str) -> None:
    names = TABLES[table].__struct_fields__
    row: Any = data.draw(st.fixed_dictionaries(dict.fromkeys(names, json_values)))
    rows, bad = rows_from_json(table, [row, data.draw(json_values)])
    assert len(bad) >= 2 - len(rows)
    assert can_be_told(bad)


@many
@given(at=st.integers(0, len(WORKBOOK) - 1), byte=st.integers(0, 255))
def test_any_byte_of_a_workbook_changed(at: int, byte: int) -> None:
    changed = WORKBOOK[:at] + bytes([byte]) + WORKBOOK[at + 1 :]
    _, bad = tables_from_files({BOOK: changed})
    assert can_be_told(bad)


@many
@given(data=st.data(), part=st.sampled_from(PARTS))
def test_any_piece_of_a_part_changed(data: st.DataObject, part: str) -> None:
    pieces = [
        b"",
        b"<",
        b'"',
        b"0",
        b"-1",
        b"99999999999",
        b"&#0;",
        b"\xff",
        b"A1",
        b"<row/>",
        b"/>",
    ]

    def change(content: bytes) -> bytes:
        start = data.draw(st.integers(0, len(content) - 1))
        end = data.draw(st.integers(start, min(start + 12, len(content))))
        return content[:start] + data.draw(st.sampled_from(pieces)) + content[end:] + b" "

    _, bad = tables_from_files({BOOK: with_parts(WORKBOOK, {part: change})})
    assert can_be_told(bad)


@pytest.mark.parametrize(
    "text",
    [
        "," * 10_000_000,
        HEADER + "," * 10_000_000,
        HEADER + "\n" * 5_000_000,
        HEADER + '"\n' * 2_000_000,
        HEADER + "1,2," * 2_000_000,
        HEADER + ("a," + "1" * 100_000 + ",,,\n") * 50,
        HEADER + ("a," + "1 " * 1_900 + ",1/" + "/1" * 1_900 + ",;" + ";-" * 1_900 + ",\n") * 500,
    ],
    ids=["wide-header", "wide-row", "blank", "quotes", "one-row", "long-cells", "odd-cells"],
)
def test_a_large_text_takes_seconds(text: str) -> None:
    start = time.process_time()
    _, bad = tables_from_files({"plates.csv": text.encode()}, Limits(told=10))
    assert time.process_time() - start < PATIENCE_S
    assert len(bad) <= 11


@pytest.mark.parametrize(
    ("part", "piece", "rule"),
    [
        (SHEET, (b"<row>" + b"<c/>" * 16_000 + b"</row>") * 300, "unpacks-too-large"),
        (SHEET, b"<row/>" * 2_000_000, "unreadable"),
        ("xl/workbook.xml", b'<sheet name="x"/>' * 1_000_000, "unpacks-too-large"),
        ("xl/styles.xml", b"<cellXfs>" + b"<xf/>" * 5_000_000 + b"</cellXfs>", "unpacks-too-large"),
    ],
    ids=["cells", "rows", "sheets", "formats"],
)
def test_a_large_workbook_takes_seconds(part: str, piece: bytes, rule: str) -> None:
    def padded(content: bytes) -> bytes:
        # Letters that do not pack stand beside, so that the part is not refused for its ratio.
        inside = content.find(b"<sheetData>") + len(b"<sheetData>")
        at = (
            inside
            if b"<sheetData>" in content
            else content.index(b">", content.index(b"?>") + 2) + 1
        )
        return content[:at] + piece + b"<!--" + NOISE + b"-->" + content[at:]

    packed = with_parts(WORKBOOK, {part: padded})
    start = time.process_time()
    _, bad = tables_from_files({BOOK: packed}, Limits(told=10))
    assert time.process_time() - start < PATIENCE_S
    assert rule in {cell.rule for cell in bad}
