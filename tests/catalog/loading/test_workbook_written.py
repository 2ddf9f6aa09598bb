"""A workbook that is written is one that a spreadsheet opens, edits and does not harm."""

import functools
import io
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter
from python_calamine import CalamineWorkbook

from catalog.loading import cell_text, tables_from_workbook, workbook_from_rows
from catalog.loading.columns import columns_of
from catalog.rows import TABLES
from catalog.seed import shipped_revision

TABLES_FOLDER = Path(__file__).parents[3] / "catalog" / "tables"
TABLES_HERE = shipped_revision().tables


@functools.cache
def shipped_book() -> Workbook:
    """Workbook of the shipped tables as it is opened, to look at alone."""
    return load_workbook(io.BytesIO(workbook_from_rows(TABLES_HERE)))


def shipped_header(table: str) -> list[str]:
    """Columns as the shipped CSV has them: an office's own order, the source last."""
    return (TABLES_FOLDER / f"{table}.csv").read_text(encoding="utf-8").splitlines()[0].split(",")


def test_the_header_is_bold_and_frozen() -> None:
    book = shipped_book()
    for name in TABLES:
        assert book[name].freeze_panes == "A2"
        header = book[name][1]
        assert [cell.value for cell in header] == shipped_header(name)
        assert all(cell.font.b for cell in header)


@pytest.mark.parametrize("table", sorted(TABLES))
def test_numbers_are_numbers_and_all_else_is_text(table: str) -> None:
    sheet = shipped_book()[table]
    for cells in sheet.iter_rows(min_row=2):
        for cell, column in zip(cells, columns_of(table).values(), strict=True):
            if column.is_number:
                assert cell.value is None or cell.data_type == "n"
                assert cell.number_format == "General"
            else:
                assert cell.value is None or cell.data_type in {"s", "inlineStr"}
                # A blank cell too: what is typed there later stays a text.
                assert cell.number_format == "@"


def test_a_text_that_reads_as_a_formula_or_an_error_is_a_text() -> None:
    (source, *_) = TABLES_HERE["sources"]
    row = type(source)(
        **{f: getattr(source, f) for f in source.__struct_fields__} | {"note": "#N/A"}
    )
    sheet = load_workbook(io.BytesIO(workbook_from_rows({"sources": [row]})))["sources"]
    values = {cell.value for cell in sheet[2]}
    assert "#N/A" in values
    back, bad = tables_from_workbook(workbook_from_rows({"sources": [row]}))
    assert bad == []
    assert back["sources"][0].note == "#N/A"  # type: ignore[union-attr]


def test_the_same_rows_give_the_same_bytes() -> None:
    assert workbook_from_rows(TABLES_HERE) == workbook_from_rows(shipped_revision().tables)


def test_a_table_without_rows_is_a_header() -> None:
    back, bad = tables_from_workbook(workbook_from_rows({"plates": []}))
    assert (back, bad) == ({"plates": []}, [])


def test_no_table_is_no_workbook() -> None:
    with pytest.raises(ValueError, match="one table or more"):
        workbook_from_rows({})


def test_a_head_says_what_its_column_wants_and_filters_stand_ready() -> None:
    sheet = shipped_book()["targets"]
    for head, column in zip(sheet[1], columns_of("targets").values(), strict=True):
        assert head.comment is not None
        assert head.comment.text.startswith(column.wanted)
        assert head.comment.text.endswith("blank where it is not said") is not column.needed
    assert sheet.auto_filter.ref == f"A1:{sheet.cell(sheet.max_row, sheet.max_column).coordinate}"


def test_the_words_of_a_closed_list_are_chosen_from() -> None:
    offered = {
        (table, str(rule.sqref).partition("2")[0]): rule.formula1
        for table in TABLES
        for rule in shipped_book()[table].data_validations.dataValidation
    }
    wanted = {}
    for table in TABLES:
        for at, column in enumerate(columns_of(table).values()):
            letters = get_column_letter(at + 1)
            if column.form == "truth":
                wanted[table, letters] = '"yes,no"'
            elif column.words and column.form != "list":
                wanted[table, letters] = f'"{",".join(column.words)}"'
    assert offered == wanted
    assert len(offered) > 10


def test_a_sheet_says_what_the_workbook_is_and_is_not_read_back() -> None:
    content = workbook_from_rows(TABLES_HERE, "sha256:abc")
    book = load_workbook(io.BytesIO(content))
    assert book.sheetnames == [*TABLES, "about"]
    assert [cell.value for cell in book["about"][1]] == ["revision", "sha256:abc"]
    back, bad = tables_from_workbook(content)
    assert bad == []
    assert list(back) == list(TABLES)


def test_another_reader_finds_the_same_cells() -> None:
    """An oracle that shares no code with ours or with the writer."""
    book = CalamineWorkbook.from_filelike(io.BytesIO(workbook_from_rows(TABLES_HERE)))
    assert book.sheet_names == list(TABLES)
    for table, rows in TABLES_HERE.items():
        head, *lines = book.get_sheet_by_name(table).to_python()
        columns = columns_of(table)
        assert head == list(columns)
        read = [
            [
                float(cell_text(getattr(row, name)) or "nan")
                if column.is_number
                else cell_text(getattr(row, name))
                for name, column in columns.items()
            ]
            for row in rows
        ]
        assert len(lines) == len(read)
        for line, row in zip(lines, read, strict=True):
            for cell, value in zip(line, row, strict=True):
                assert cell == value or (cell == "" and value != value)
