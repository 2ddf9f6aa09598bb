"""A header that is not the table's is refused, and the names that would do are told."""

import pytest

from tests.publish.office import (
    Grid,
    edited_csv,
    edited_text,
    edited_workbook,
    places,
    refused,
)


def test_an_unknown_column_is_told_with_the_known_ones() -> None:
    def edit(grid: Grid) -> None:
        grid[0][grid[0].index("finish")] = "finishing"

    bad = refused(edited_csv("targets", edit))
    assert places(bad) == [(1, "finishing", "header"), (1, "finish", "column-missing")]
    assert "ceiling_kn" in bad[0].message


@pytest.mark.parametrize("name", ["Force [kN]", "FORCE_KN", " force_kn", "force kn"])
def test_a_name_that_is_nearly_ours_is_told_once_with_ours(name: str) -> None:
    def edit(grid: Grid) -> None:
        grid[0][grid[0].index("force_kn")] = name

    (bad,) = refused(edited_csv("targets", edit))
    assert (bad.line, bad.rule) == (1, "header")
    assert bad.remedy == "write it `force_kn`"


def test_a_title_above_the_header_is_told_once() -> None:
    (bad,) = refused(edited_text("targets", lambda text: f"Press targets 2026\n{text}"))
    assert (bad.line, bad.rule) == (1, "header")
    assert bad.remedy.startswith("let the first row be: series,od_mm")


def test_a_header_that_is_gone_is_told_once() -> None:
    (bad,) = refused(edited_text("sizes", lambda text: text.partition("\n")[2]))
    assert bad.rule == "header"


def test_a_sheet_whose_first_row_is_blank_is_told() -> None:
    bad = refused(edited_workbook(lambda book: book["sizes"].insert_rows(1)))
    assert [(cell.table, cell.line, cell.rule) for cell in bad] == [("sizes", 1, "blank-row")]


@pytest.mark.parametrize(("mark", "name"), [(";", "semicolon"), ("\t", "tab"), ("|", "bar")])
def test_another_separator_is_told_as_such(mark: str, name: str) -> None:
    # With one name too many: an exact header parted by semicolons is read by the service.
    def edit(text: str) -> str:
        return text.replace(",", mark).replace("\n", f"{mark}\n", 1)

    (bad,) = refused(edited_text("tubes", edit))
    assert (bad.line, bad.rule) == (1, "separator")
    assert name in bad.message


def test_a_note_to_one_spreadsheet_is_told() -> None:
    (bad,) = refused(edited_text("tubes", lambda text: f"sep=;\n{text}"))
    assert bad.rule == "separator"
    assert "delete that line" in bad.remedy


def test_cells_under_the_columns_that_are_known_are_checked_all_the_same() -> None:
    def edit(grid: Grid) -> None:
        grid[0][grid[0].index("finish")] = "finishing"
        grid[4][grid[0].index("force_kn")] = "27,5"

    rules = [cell.rule for cell in refused(edited_csv("targets", edit))]
    assert rules == ["header", "column-missing", "decimal-comma"]
