"""CSV with semicolons and decimal commas: read where that is the only reading, and told."""

import csv
import io
import re

import pytest

from catalog.loading import BadCell, Conversion, csv_from_rows, rows_from_csv
from catalog.rows import AnyRow, Cone
from catalog.seed import shipped_revision

TABLES = shipped_revision().tables
Grid = list[list[str]]


def grid_of(table: str) -> Grid:
    return list(csv.reader(io.StringIO(csv_from_rows(table, list(TABLES[table])))))


def as_written(grid: Grid) -> str:
    """As a spreadsheet of such a country saves it: with a mark of bytes, and lines of its own."""
    out = io.StringIO()
    csv.writer(out, delimiter=";", lineterminator="\r\n").writerows(grid)
    return out.getvalue()


def with_commas(table: str) -> str:
    grid = grid_of(table)
    numbers = {
        at
        for at in range(len(grid[0]))
        if all(row[at].replace(".", "").lstrip("-").isdigit() or not row[at] for row in grid[1:])
    }
    return as_written(
        [
            [cell.replace(".", ",") if at in numbers else cell for at, cell in enumerate(row)]
            for row in grid
        ]
    )


def read(table: str, text: str) -> tuple[list[AnyRow], list[BadCell], list[Conversion]]:
    told: list[Conversion] = []
    rows, bad = rows_from_csv(table, text, converted=told)
    return rows, bad, told


@pytest.mark.parametrize("table", ["targets", "sizes", "gauges", "presses", "tubes", "cones"])
def test_the_shipped_tables_are_read_back_and_each_number_is_told(table: str) -> None:
    text = with_commas(table)
    rows, bad, told = read(table, text)
    assert bad == []
    assert [row.line for row in rows] == [row.line for row in TABLES[table]]  # type: ignore[union-attr]
    cells = [cell for row in csv.reader(io.StringIO(text), delimiter=";") for cell in row]
    assert [each.sent for each in told] == [
        cell for cell in cells if "," in cell and cell.replace(",", "").lstrip("-").isdigit()
    ]
    assert all(float(each.sent.replace(",", ".")) == each.value for each in told)


def test_where_nobody_is_told_it_is_refused() -> None:
    rows, bad = rows_from_csv("gauges", with_commas("gauges"))
    assert rows == []
    (fault,) = bad
    assert fault.rule == "separator"
    assert "send the workbook (.xlsx)" in fault.remedy


def changed(table: str, row: int, column: str, cell: str) -> str:
    grid = list(csv.reader(io.StringIO(with_commas(table)), delimiter=";"))
    grid[row - 1][grid[0].index(column)] = cell
    return as_written(grid)


@pytest.mark.parametrize("cell", ["28.5", "1.200", "1.200,5"])
def test_a_point_beside_semicolons_is_told(cell: str) -> None:
    _, bad, _ = read("targets", changed("targets", 5, "force_kn", cell))
    (fault,) = bad
    assert (fault.line, fault.column, fault.value) == (5, "force_kn", cell)
    assert fault.rule == "decimal-comma"
    assert "send the workbook (.xlsx)" in fault.remedy


@pytest.mark.parametrize(("cell", "rule"), [("1,2,3", "not-a-number"), ("27,5 kN", "unit-in-cell")])
def test_what_is_no_number_stays_none(cell: str, rule: str) -> None:
    _, bad, _ = read("targets", changed("targets", 5, "force_kn", cell))
    assert [(fault.line, fault.column, fault.rule) for fault in bad] == [(5, "force_kn", rule)]


def whole_numbers(table: str, lines: int) -> Grid:
    """First lines of a table, the part after the point taken off every number."""
    head, *rows = grid_of(table)[:lines]
    number = re.compile("[0-9]+[.][0-9]+")
    return [
        head,
        *([c.partition(".")[0] if number.fullmatch(c) else c for c in row] for row in rows),
    ]


def test_a_comma_that_may_part_thousands_is_not_guessed() -> None:
    # 1,200 is 1.2 or 1200: nothing else in this table says which.
    grid = whole_numbers("cones", 3)
    at = grid[0].index("rated_force_kn")
    grid[1][at], grid[2][at] = "1,200", "80"
    rows, bad, told = read("cones", as_written(grid))
    assert len(rows) == 1
    assert told == []
    (fault,) = bad
    assert (fault.line, fault.column, fault.rule) == (2, "rated_force_kn", "thousands-mark")
    grid[2][at] = "80,5"
    rows, bad, told = read("cones", as_written(grid))
    assert bad == []
    assert [(each.sent, each.value) for each in told] == [("1,200", 1.2), ("80,5", 80.5)]


def test_bad_quotes_are_told_in_their_line_and_hide_no_other_cell() -> None:
    # No comma before them shows what a comma is, so all of the table is looked through first.
    grid = whole_numbers("cones", 4)
    at = grid[0].index("rated_force_kn")
    grid[1][at], grid[2][at] = "1,200", "80 kN"
    lines = as_written(grid).splitlines()
    lines[3] = '"' + lines[3].replace(";", '"x;', 1)
    _, bad, _ = read("cones", "\n".join(lines))
    assert [(fault.line, fault.rule) for fault in bad] == [(3, "unit-in-cell"), (4, "unreadable")]


@pytest.mark.parametrize(
    ("cell", "rule", "remedy"),
    [
        ("+27,5", "not-a-number", "write the number alone, with digits and a comma, such as 27,5"),
        (",5", "not-a-number", "write the number alone, with digits and a comma, such as 27,5"),
        ("\u221227,5", "not-a-number", "write the minus with the key beside the zero: -"),
        (
            "1 200,5",
            "thousands-mark",
            (
                "write the number with no mark between the thousands, and a comma before the part:"
                " 1200 or 1200,5"
            ),
        ),
        (
            "27,50000000000000001",
            "too-many-digits",
            "write it with at most 15 digits, such as 27,5",
        ),
        (
            "1.200,5",
            "decimal-comma",
            (
                "write a comma for the point alone, as a file with semicolons has it, or send the"
                " workbook (.xlsx)"
            ),
        ),
    ],
)
def test_what_to_write_is_what_such_a_file_takes(cell: str, rule: str, remedy: str) -> None:
    _, bad, _ = read("targets", changed("targets", 5, "force_kn", cell))
    assert [(fault.value, fault.rule, fault.remedy) for fault in bad] == [(cell, rule, remedy)]
    assert f"`{cell}`" in bad[0].message


@pytest.mark.parametrize(("written", "value"), [("1200", 1200.0), ("1,2000", 1.2)])
def test_either_reading_of_a_doubtful_comma_is_taken_as_the_remedy_writes_it(
    written: str, value: float
) -> None:
    grid = whole_numbers("cones", 2)
    at = grid[0].index("rated_force_kn")
    grid[1][at] = "1,200"
    _, (fault,), _ = read("cones", as_written(grid))
    assert f"`{written}`" in fault.remedy
    grid[1][at] = written
    (row,), bad, _ = read("cones", as_written(grid))
    assert bad == []
    assert isinstance(row, Cone)
    assert row.rated_force_kn == value


def test_a_row_with_a_semicolon_too_many_is_shown_as_it_stands() -> None:
    lines = with_commas("targets").splitlines()
    lines[4] += ";a"
    _, bad, _ = read("targets", "\n".join(lines))
    (fault,) = bad
    assert (fault.line, fault.rule, fault.value) == (5, "row-length", lines[4][:200])
    assert fault.remedy == "look for a semicolon in a text or a list: put it in double quotes"


@pytest.mark.parametrize(
    ("note", "below", "remedy"),
    [
        ("sep=;", with_commas("gauges"), "delete that line"),
        ("sep=,", csv_from_rows("gauges", list(TABLES["gauges"])), "delete that line"),
        (
            "sep=;",
            with_commas("gauges").replace(";", ";;", 1),
            (
                "delete that line; save it again as CSV with commas and a decimal point, or send"
                " the workbook (.xlsx)"
            ),
        ),
    ],
)
def test_a_note_to_one_spreadsheet_is_deleted_and_no_more_is_asked_than_is_needed(
    note: str, below: str, remedy: str
) -> None:
    _, bad, _ = read("gauges", f"{note}\r\n{below}")
    assert [(fault.line, fault.value, fault.remedy) for fault in bad] == [(1, note, remedy)]


def test_another_header_is_refused_as_before() -> None:
    grid = list(csv.reader(io.StringIO(with_commas("gauges")), delimiter=";"))
    turned = [[row[1], row[0], *row[2:]] for row in grid]
    _, bad, told = read("gauges", as_written(turned))
    assert [fault.rule for fault in bad] == ["separator"]
    assert told == []
