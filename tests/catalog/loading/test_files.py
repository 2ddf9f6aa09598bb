"""Files by name: CSV and workbooks, each table once, and no name is ever a place on a disk."""

from pathlib import Path

import pytest
from openpyxl import Workbook

from catalog.loading import BadCell, tables_from_files
from catalog.revision import revision_of
from catalog.rows import TABLES
from catalog.seed import shipped_revision
from tests.publish.office import edited_workbook, shipped_workbook
from tests.service.commands import SHIPPED

PLATES = (SHIPPED / "plates.csv").read_bytes()


def one_bad(files: dict[str, bytes]) -> BadCell:
    _, (bad,) = tables_from_files(files)
    return bad


def test_the_shipped_files_are_the_shipped_revision() -> None:
    tables, bad = tables_from_files(
        {file.name: file.read_bytes() for file in SHIPPED.glob("*.csv")}
    )
    assert bad == []
    assert revision_of(tables).id == shipped_revision().id


def test_files_and_a_workbook_may_come_together() -> None:
    tables, bad = tables_from_files(
        {"plates.csv": PLATES, "Our Tables (2).XLSX": shipped_workbook(["sizes", "cones"])}
    )
    assert bad == []
    assert sorted(tables) == ["cones", "plates", "sizes"]


def test_the_mark_that_a_spreadsheet_puts_before_utf_8_is_no_part_of_the_text() -> None:
    tables, bad = tables_from_files({"plates.csv": b"\xef\xbb\xbf" + PLATES})
    assert bad == []
    assert len(tables["plates"]) == 27


@pytest.mark.parametrize(
    "content",
    [
        PLATES + b"plate-\xe4,metric-24-degree,16,50,demo\n",
        PLATES.decode().encode("utf-16"),
    ],
    ids=["cp1252", "utf-16"],
)
def test_another_code_is_told(content: bytes) -> None:
    bad = one_bad({"plates.csv": content})
    assert (bad.table, bad.rule) == ("plates", "not-utf-8")
    assert "save it again as CSV in UTF-8" in bad.remedy


def test_the_line_of_the_first_letter_that_is_no_utf_8_is_told() -> None:
    assert one_bad({"plates.csv": PLATES + b"plate-\xe4"}).line == 29


def test_a_table_that_comes_twice_is_told() -> None:
    bad = one_bad({"plates.csv": PLATES, "t.xlsx": shipped_workbook(["plates"])})
    assert (bad.table, bad.value, bad.rule) == ("plates", "t.xlsx", "table-doubled")


@pytest.mark.parametrize(
    ("name", "rule"),
    [
        ("plates.txt", "file-kind"),
        ("plates.xls", "file-kind"),
        ("plates.ods", "file-kind"),
        ("plates.json", "file-kind"),
        ("plates.xlsm", "macros"),
        ("plates", "file-name"),
        (".csv", "file-name"),
        ("", "file-name"),
        ("../plates.csv", "file-name"),
        ("/etc/plates.csv", "file-name"),
        ("C:\\plates.csv", "file-name"),
        ("plates\n.csv", "file-name"),
        ("p" * 500 + ".csv", "file-name"),
        ("plate.csv", "unknown-table"),
        ("Plates.csv", "unknown-table"),
        ("plates (1).csv", "unknown-table"),
    ],
)
def test_a_name_that_is_no_table(name: str, rule: str) -> None:
    bad = one_bad({name: PLATES})
    assert bad.rule == rule
    assert len(bad.value) <= 200
    if rule == "unknown-table":
        assert all(table in bad.message for table in TABLES)


@pytest.mark.parametrize(
    ("name", "remedy"), [("Sheet1", "name it as one of them"), ("Sizes", "name it `sizes`")]
)
def test_a_sheet_of_another_name_is_told_with_the_known_ones(name: str, remedy: str) -> None:
    def edit(book: Workbook) -> None:
        sheet = book["sizes"]
        sheet.title = "a while"  # the library takes `Sizes` for taken while there is `sizes`
        sheet.title = name

    bad = one_bad(edited_workbook(edit))
    assert (bad.table, bad.rule) == (name, "unknown-table")
    assert all(table in bad.message for table in TABLES)
    assert bad.remedy.startswith(remedy)


def test_a_chart_is_no_table() -> None:
    bad = one_bad(edited_workbook(lambda book: book.create_chartsheet("forces")))
    assert (bad.table, bad.rule) == ("forces", "unknown-table")


def test_no_file_is_opened(tmp_path: Path) -> None:
    file = tmp_path / "plates.csv"
    file.write_bytes(PLATES)
    tables, bad = tables_from_files({str(file): b""})
    assert tables == {}
    assert [cell.rule for cell in bad] == ["file-name"]
