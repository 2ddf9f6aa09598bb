"""A key that stands twice leaves open which row holds: neither is taken."""

import pytest

from catalog.rows import TABLES, Target
from catalog.seed import shipped_revision
from tests.publish.office import Grid, column_at, edited_csv, put
from tests.publish.revised import refusals, reviewed_without_report


def doubled(grid: Grid) -> None:
    grid.append(list(grid[1]))


@pytest.mark.parametrize("table", sorted(set(TABLES) - {"rings"}))
def test_a_row_entered_twice_is_told_in_every_table(table: str) -> None:
    found = [r for r in refusals(edited_csv(table, doubled)) if r.rule == "key-doubled"]
    (only,) = found
    assert only.table == table
    assert only.column == ", ".join(TABLES[table].key_columns)
    assert "2 times" in only.message


def test_a_size_entered_twice_is_told_with_its_key_and_what_to_do() -> None:
    (only,) = refusals(edited_csv("sizes", doubled))
    assert (only.table, only.row, only.rule) == ("sizes", "sizes/L/6", "key-doubled")
    assert (only.column, only.value) == ("series, od_mm", "L, 6")
    assert only.message == "stands 2 times in sizes: keep one"
    assert only.remedy == "keep the row that is right and take the other out"


def test_the_same_key_with_other_cells_is_told_too() -> None:
    def edit(grid: Grid) -> None:
        grid.append(list(grid[1]))
        put(grid, len(grid), "rated_pressure_bar", "400")

    (only,) = refusals(edited_csv("sizes", edit))
    assert (only.row, only.rule) == ("sizes/L/6", "key-doubled")


def test_an_od_in_more_digits_is_the_same_od() -> None:
    # Sizes count in whole tenths of a micrometre: 6.000001 mm is 6 mm, 6.0002 mm is another.
    def again(od: str) -> dict[str, bytes]:
        def edit(grid: Grid) -> None:
            grid.append(list(grid[1]))
            put(grid, len(grid), "od_mm", od)

        return edited_csv("sizes", edit)

    assert {r.rule for r in refusals(again("6.000001"))} == {"key-doubled"}
    assert "key-doubled" not in {r.rule for r in refusals(again("6.0002"))}


def test_every_doubled_key_is_told() -> None:
    def edit(grid: Grid) -> None:
        grid.extend([list(cells) for cells in grid[1:6]])

    found = refusals(edited_csv("gauges", edit))
    assert [r.rule for r in found] == ["key-doubled"] * 5
    assert len({r.row for r in found}) == 5


def test_two_ring_sets_for_one_ring_are_told() -> None:
    def edit(grid: Grid) -> None:
        (own,) = (row for row in grid if row[0] == "ring-flareless-metal-stainless-steel")
        grid.append(["ring-flareless-metal-other", *own[1:]])

    found = refusals(edited_csv("rings", edit))
    assert {(r.column, r.rule) for r in found} == {("ring", "target-without-ground")}
    stainless = [
        row.ref
        for row in shipped_revision().tables["targets"]
        if isinstance(row, Target)
        and (row.series, row.ring_style, row.family) == ("flareless", "metal", "stainless-steel")
    ]
    assert [r.row for r in found] == stainless
    both = "`ring-flareless-metal-other` and `ring-flareless-metal-stainless-steel` cover this od"
    assert all(r.message.startswith(both) for r in found)


def test_the_same_row_under_another_key_is_taken() -> None:
    def edit(grid: Grid) -> None:
        grid.append(list(grid[1]))
        grid[-1][column_at(grid, "id")] = "gauge-new"

    assert reviewed_without_report(edited_csv("gauges", edit)).tables["gauges"]
