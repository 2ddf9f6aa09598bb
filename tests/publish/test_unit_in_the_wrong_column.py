"""A column of ours in another unit is refused with the unit wanted: nothing is converted."""

import pytest
from openpyxl import Workbook

from tests.publish.office import Grid, edited_csv, edited_workbook, refused


@pytest.mark.parametrize(
    ("table", "ours", "theirs", "unit"),
    [
        ("targets", "force_kn", "force_lbf", "kN"),
        ("targets", "od_mm", "od_in", "mm"),
        ("targets", "od_mm", "OD [inch]", "mm"),
        ("sizes", "rated_pressure_bar", "rated_pressure_psi", "bar"),
        ("sizes", "rated_pressure_bar", "Rated pressure (MPa)", "bar"),
        ("presses", "ram_area_cm2", "ram_area_in2", "cm2"),
        ("materials", "temp_max_c", "temp_max_f", "degC"),
        ("strengths", "yield_mpa", "yield_ksi", "MPa"),
    ],
)
def test_another_unit_is_told_with_ours(table: str, ours: str, theirs: str, unit: str) -> None:
    def edit(grid: Grid) -> None:
        grid[0][grid[0].index(ours)] = theirs

    (bad,) = refused(edited_csv(table, edit))
    assert (bad.line, bad.column, bad.rule) == (1, theirs, "unit-in-column")
    assert f"the column is `{ours}`" in bad.message
    assert f"convert every value to {unit}" in bad.remedy
    assert "nothing is converted here" in bad.remedy


def test_a_name_without_its_unit_is_not_taken_for_ours() -> None:
    def edit(grid: Grid) -> None:
        grid[0][grid[0].index("force_kn")] = "force"

    (bad,) = refused(edited_csv("targets", edit))
    assert bad.rule == "unit-in-column"
    assert "check that the values are in kN" in bad.remedy


def test_a_unit_where_another_column_holds_it() -> None:
    # The span of a gauge is in the unit of its row: a sheet that is all psi may name it so.
    def edit(grid: Grid) -> None:
        grid[0][grid[0].index("span")] = "span_psi"

    (bad,) = refused(edited_csv("gauges", edit))
    assert bad.rule == "unit-in-column"
    assert "name it `span`" in bad.remedy


def test_in_a_sheet_too() -> None:
    def edit(book: Workbook) -> None:
        (cell,) = [cell for cell in book["targets"][1] if cell.value == "ceiling_kn"]
        cell.value = "ceiling_lbf"

    (bad,) = refused(edited_workbook(edit))
    assert (bad.table, bad.rule) == ("targets", "unit-in-column")
