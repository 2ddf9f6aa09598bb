"""A workbook that is made to fill the memory, to hang, or to reach outside is refused at once."""

import io
import struct
import time
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from catalog.loading import Limits, tables_from_files
from catalog.rows import TABLES
from tests.publish.office import BOOK, places, refused, shipped_workbook, with_parts

SHEET = "xl/worksheets/sheet1.xml"
BOMB = b"""<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "ha">
<!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;">
<!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;">]>"""


@contextmanager
def at_once() -> Iterator[None]:
    start = time.process_time()
    yield
    assert time.process_time() - start < 5


def book() -> bytes:
    return shipped_workbook(["derating"])


def told(content: bytes, limits: Limits | None = None) -> str:
    with at_once():
        (bad,) = refused({BOOK: content}, limits or Limits())
    assert (bad.table, bad.line, bad.value) == ("", 0, BOOK)
    return bad.rule


def test_a_part_that_unpacks_to_far_more_than_it_weighs() -> None:
    packed = with_parts(book(), {SHEET: b" " * (60 * 1024 * 1024)})
    assert len(packed) < 100_000
    assert told(packed) == "unpacks-too-large"


def test_more_than_the_limit_in_all() -> None:
    assert told(book(), Limits(unpacked_bytes=5000)) == "unpacks-too-large"
    assert told(book(), Limits(file_bytes=500)) == "unpacks-too-large"


def test_too_many_parts() -> None:
    parts = {f"xl/media/{n}.png": b"x" for n in range(600)}
    assert told(with_parts(book(), parts)) == "unpacks-too-large"


def test_a_size_that_is_declared_smaller_than_it_is() -> None:
    # The size in the directory at the end says 10 bytes; the packed part holds 40 MiB.
    large = with_parts(book(), {"xl/styles.xml": b"<a>" + b" " * (40 * 1024 * 1024) + b"</a>"})
    with zipfile.ZipFile(io.BytesIO(large)) as archive:
        size = archive.getinfo("xl/styles.xml").file_size
    lie = large.replace(struct.pack("<L", size), struct.pack("<L", 10))
    assert lie != large
    assert told(lie) == "unreadable"


def test_what_is_read_is_counted_whatever_is_declared() -> None:
    # Declared sizes pass, one by one and in all; a sheet is named for each table and read anew.
    named = b"".join(
        f'<sheet name="{table}" sheetId="{number}" r:id="rId1"/>'.encode()
        for number, table in enumerate(sorted(TABLES), start=2)
        if table != "derating"
    )
    often = with_parts(
        book(),
        {"xl/workbook.xml": lambda part: part.replace(b"</sheets>", named + b"</sheets>")},
    )
    with zipfile.ZipFile(io.BytesIO(often)) as archive:
        total = sum(member.file_size for member in archive.infolist())
    rules = {cell.rule for cell in refused({BOOK: often}, Limits(unpacked_bytes=total + 100))}
    assert "unpacks-too-large" in rules


@pytest.mark.parametrize(
    "part", [SHEET, "xl/workbook.xml", "xl/styles.xml", "[Content_Types].xml", "_rels/.rels"]
)
@pytest.mark.parametrize(
    "doctype",
    [
        BOMB,
        b'<?xml version="1.0"?><!DOCTYPE a SYSTEM "http://example.invalid/a.dtd">',
        b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]>',
        b'<?xml version="1.0"?><!DOCTYPE a>',
    ],
)
def test_entities_and_document_types(part: str, doctype: bytes) -> None:
    def declared(content: bytes) -> bytes:
        return doctype + content.partition(b"?>")[2]

    assert told(with_parts(book(), {part: declared})) == "unreadable"


def test_an_entity_is_refused_in_the_shared_texts_too() -> None:
    texts = BOMB + b"<sst><si><t>&d;</t></si></sst>"
    link = b'<Relationship Id="s" Type="x/sharedStrings" Target="sharedStrings.xml"/>'
    packed = with_parts(
        book(),
        {
            "xl/sharedStrings.xml": texts,
            "xl/_rels/workbook.xml.rels": lambda part: part.replace(
                b"</Relationships>", link + b"</Relationships>"
            ),
        },
    )
    assert told(packed) == "unreadable"


DEEP = b"<a>" * 200_000 + b"</a>" * 200_000
WIDE = b"<row " + b" ".join(b'a%d="1"' % n for n in range(50_000)) + b"/>"
CROWDED = b"<row r='1'>" + b"<c/>" * 1_000_000 + b"</row>"


@pytest.mark.parametrize("inner", [DEEP, WIDE, CROWDED], ids=["deep", "wide", "crowded"])
def test_deep_nesting_and_endless_cells_do_not_hang(inner: bytes) -> None:
    packed = with_parts(
        book(),
        {SHEET: lambda part: part.replace(b"<sheetData>", b"<sheetData>" + inner)},
    )
    with at_once():
        tables_from_files({BOOK: packed})


def test_a_password_is_told() -> None:
    old_office = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 512
    assert told(old_office) == "unreadable"
    assert told(old_office + "EncryptedPackage".encode("utf-16-le")) == "password"
    flagged = bytearray(book())
    at = flagged.rindex(b"PK\x01\x02")
    flagged[at + 8] |= 1
    assert told(bytes(flagged)) == "password"


@pytest.mark.parametrize("content", [b"", b"PK", b"series,od_mm\n", b"<html></html>", b"\0" * 99])
def test_what_is_no_workbook(content: bytes) -> None:
    assert told(content) == "unreadable"


def test_a_workbook_cut_off_anywhere() -> None:
    whole = book()
    for end in range(0, len(whole), 97):
        assert told(whole[:end]) == "unreadable"


def test_macros_are_refused() -> None:
    kind = b"application/vnd.ms-excel.sheet.macroEnabled.main+xml"
    old = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
    packed = with_parts(book(), {"[Content_Types].xml": lambda part: part.replace(old, kind)})
    assert told(packed) == "macros"
    assert places(refused({"tables.xlsm": book()})) == [(0, "", "macros")]


def test_links_to_other_files_are_refused() -> None:
    link = (
        b'<Relationship Id="x" Type="http://schemas.openxmlformats.org/officeDocument/2006/'
        b'relationships/externalLink" Target="externalLinks/externalLink1.xml"/></Relationships>'
    )
    packed = with_parts(
        book(),
        {"xl/_rels/workbook.xml.rels": lambda part: part.replace(b"</Relationships>", link)},
    )
    assert told(packed) == "external-link"


@pytest.mark.parametrize("target", ["../../../../etc/passwd", "/etc/passwd", "file:///etc/passwd"])
def test_a_part_outside_the_file_is_never_opened(target: str) -> None:
    packed = with_parts(
        book(),
        {
            "xl/_rels/workbook.xml.rels": lambda part: part.replace(
                b"worksheets/sheet1.xml", target.encode()
            )
        },
    )
    assert told(packed) == "unreadable"
