"""CSV text: rows as an office counts them, and quotes that are not closed."""

import pytest

from catalog.loading import rows_from_csv
from catalog.loading.columns import columns_of
from catalog.rows import TABLES

HEADER = "id,system,od_mm,rated_force_kn,source\n"
ROW = "plate-1,metric-24-degree,16,50,demo\n"


def told(text: str) -> list[tuple[int, str, str]]:
    _, bad = rows_from_csv("plates", text)
    return [(cell.line, cell.column, cell.rule) for cell in bad]


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", [(1, "", "header")]),
        ("\n", [(1, "", "header")]),
        ("\0\0", [(1, "", "header")]),
        (HEADER, []),
        (HEADER + ROW, []),
        (HEADER + ROW + "\n\n,,,,\n", []),
        (HEADER + ROW.strip(), []),
        ((HEADER + ROW).replace("\n", "\r\n"), []),
        (HEADER + ROW + "\n" + ROW, [(3, "", "blank-row")]),
        (HEADER + ROW + 'plate-2,"metric', [(3, "", "unreadable")]),
        (HEADER + ROW + 'plate-2,"metric"s,16,50,demo\n', [(3, "", "unreadable")]),
        (HEADER + "x" * 200_000, [(2, "", "unreadable")]),
        (HEADER + ROW + "plate-2,metric-24-degree,16,50\n", [(3, "", "row-length")]),
        (
            HEADER + "plate 1,metric,0,,demo\n",
            [
                (2, "id", "wrong-form"),
                (2, "system", "not-in-list"),
                (2, "od_mm", "out-of-bounds"),
                (2, "rated_force_kn", "blank"),
            ],
        ),
        (
            "id,system,od_mm,rated_force_kn,source,\n" + ROW.replace("\n", ",\n"),
            [(1, "", "header")],
        ),
    ],
)
def test_what_is_told(text: str, faults: list[tuple[int, str, str]]) -> None:
    assert told(text) == faults


def test_a_row_is_counted_as_a_spreadsheet_counts_it() -> None:
    # A cell with a line break in it is one row of the sheet, though two lines of the file.
    broken = ROW.replace("plate-1", '"plate\n-1"')
    assert told(HEADER + broken + ROW.replace("16", "x")) == [
        (2, "id", "control-letter"),
        (3, "od_mm", "not-a-number"),
    ]


def test_nothing_is_read_of_a_table_with_a_bad_header() -> None:
    rows, bad = rows_from_csv("plates", HEADER.replace("od_mm", "od_in") + ROW)
    assert rows == []
    assert len(bad) == 1


def test_good_rows_beside_a_bad_one_are_read() -> None:
    rows, bad = rows_from_csv("plates", HEADER + ROW + ROW.replace("50", "fifty") + ROW)
    assert len(rows) == 2
    assert len(bad) == 1


@pytest.mark.parametrize("table", sorted(TABLES))
def test_every_column_says_what_it_wants_in_words(table: str) -> None:
    for column in columns_of(table).values():
        if column.name != "code":
            assert "^" not in column.wanted, column
        assert column.needed or column.blank in (None, "", ())
        assert not column.name.endswith("source") or column.is_id
