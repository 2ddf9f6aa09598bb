"""Two bands that hold the same wall: which force is meant cannot be told."""

import pytest

from catalog.rows import Target
from tests.publish.office import Grid, column_at, edited_csv, put, shipped_text
from tests.publish.revised import refusals, reviewed_without_report

# Rows 3 and 8 of the targets: L 6 carbon-steel metal, walls 0.9 to 1.1 and 1.4 to 1.6.
THICKER = "targets/L/6/1.4/1.6/carbon-steel/metal/none"


def test_the_rows_are_those_that_the_tests_mean() -> None:
    header, _, first, *_, second = shipped_text("targets").splitlines()[:8]
    assert header.startswith(",".join(Target.key_columns))
    assert first.startswith("L,6,0.9,1.1,carbon-steel,,metal,,none")
    assert second.startswith("L,6,1.4,1.6,carbon-steel,,metal,,none")


@pytest.mark.parametrize("end", ["1.4", "1.5", "1.6", "2.5"])
def test_a_band_that_reaches_into_the_next_is_told(end: str) -> None:
    # Bands are closed on both sides: one that ends where the next begins shares that wall with it.
    found = refusals(edited_csv("targets", lambda grid: put(grid, 3, "wall_max_mm", end)))
    first = found[0]
    assert (first.table, first.row) == ("targets", THICKER)
    assert (first.column, first.value, first.rule) == ("wall_min_mm", "1.4", "bands-overlap")
    assert f"overlaps targets/L/6/0.9/{end}/carbon-steel/metal/none" in first.message
    assert first.remedy == "set the wall bands apart, so that a wall is in one of them"


@pytest.mark.parametrize("end", ["1.3999", "1.35"])
def test_a_band_that_ends_before_the_next_is_taken(end: str) -> None:
    # A tenth of a micrometre tells two sizes apart.
    reviewed_without_report(edited_csv("targets", lambda grid: put(grid, 3, "wall_max_mm", end)))


def test_a_band_inside_another_is_told() -> None:
    def edit(grid: Grid) -> None:
        grid.append(list(grid[2]))
        put(grid, len(grid), "wall_min_mm", "0.95")
        put(grid, len(grid), "wall_max_mm", "1")

    (only,) = refusals(edited_csv("targets", edit))
    assert (only.row, only.value) == (
        "targets/L/6/0.95/1/carbon-steel/metal/none",
        "0.95",
    )


def test_a_band_over_several_is_told() -> None:
    # It begins with the first and holds the second whole, so that nothing lies between.
    found = refusals(edited_csv("targets", lambda grid: put(grid, 3, "wall_max_mm", "9")))
    assert THICKER in {r.row for r in found}
    assert {r.rule for r in found} == {"bands-overlap"}


def test_a_band_upside_down_is_told_as_such() -> None:
    def edit(grid: Grid) -> None:
        put(grid, 3, "wall_min_mm", "1.1")
        put(grid, 3, "wall_max_mm", "0.9")

    (only,) = refusals(edited_csv("targets", edit))
    assert (only.column, only.value, only.rule) == ("wall_min_mm", "1.1", "range-reversed")
    assert only.remedy == "exchange the two ends of the band"


@pytest.mark.parametrize(
    ("column", "value"), [("insert", "fitted"), ("ring_style", "elastomer-sealed"), ("od_mm", "8")]
)
def test_a_band_of_another_kind_may_hold_the_same_wall(column: str, value: str) -> None:
    def edit(grid: Grid) -> None:
        at = column_at(grid, column)
        bands = [cells for cells in grid[1:] if cells[:9] == grid[2][:9]]
        assert bands
        copy = list(grid[2])
        copy[at] = value
        # Only a row that is not there yet can be put in.
        key = copy[:9]
        grid[1:] = [cells for cells in grid[1:] if cells[:9] != key]
        grid.append(copy)

    reviewed_without_report(edited_csv("targets", edit))


def test_limits_of_the_tube_end_that_share_an_od_are_told() -> None:
    def edit(grid: Grid) -> None:
        grid.append(list(grid[1]))
        put(grid, len(grid), "od_min_mm", "1000")

    (only,) = refusals(edited_csv("preparation", edit))
    assert (only.table, only.row) == ("preparation", "preparation/inch-flareless/1000")
    assert (only.column, only.value, only.rule) == ("od_min_mm", "1000", "bands-overlap")
    assert only.remedy == "set the od bands apart, so that an od is in one of them"
