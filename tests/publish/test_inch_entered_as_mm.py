"""A length in inches under a heading that says mm, or one multiplied by 25.4 once too often."""

from collections.abc import Callable

import pytest

from tests.publish.slips import about, ref, shipped, slipped, strong, times

CELLS = [
    ("sizes", "sizes/S/16", "nut_hex_mm"),
    ("sizes", "sizes/S/16", "insertion_depth_mm"),
    ("sizes", "sizes/S/16", "seal_diameter_mm"),
    ("sizes", "sizes/S/16", "min_straight_mm"),
    ("tubes", "tubes/en-10305-4/16/2", "od_tolerance_mm"),
    ("tubes", "tubes/sae-j524/12.7/1.651", "od_tolerance_mm"),
    ("neighbours", "neighbours/metric/16", "od_tolerance_mm"),
    ("inserts", "inserts/carbon-steel/16", "needed_below_mm"),
    ("presses", "presses/press-b", "stroke_mm"),
]


@pytest.mark.parametrize(("table", "row", "column"), CELLS)
@pytest.mark.parametrize("factor", [1 / 25.4, 25.4])
def test_one_cell(table: str, row: str, column: str, factor: float) -> None:
    found = strong(slipped(table, ref(row), times(factor, column)))
    assert "unit-slip" in about(found, row, column)


@pytest.mark.parametrize("column", ["insertion_depth_mm", "seal_diameter_mm", "min_straight_mm"])
def test_a_whole_column_is_told_once(column: str) -> None:
    def known(row: object) -> bool:
        return getattr(row, column) is not None

    found = strong(slipped("sizes", known, times(1 / 25.4, column)))
    told = [d for d in found if d.column == column]
    assert [d.kind for d in told] == ["unit-slip"]
    assert len(told[0].rows) == len([r for r in shipped().tables["sizes"] if known(r)])


def test_a_tube_size_in_inches() -> None:
    # 1/2 in x 0.065 in entered as 0.5 x 0.065 mm.
    bad = slipped(
        "tubes", ref("tubes/sae-j524/12.7/1.651"), lambda _: {"od_mm": 0.5, "wall_mm": 0.065}
    )
    found = strong(bad)
    row = "tubes/sae-j524/0.5/0.065"
    assert "unit-slip" in about(found, row, "od_mm")
    assert "unit-slip" in about(found, row, "wall_mm")


@pytest.mark.parametrize("table", ["tubes", "neighbours"])
def test_an_od_multiplied_once_too_often(table: str) -> None:
    change: Callable[[object], dict[str, float]] = times(25.4, "od_mm")
    found = strong(slipped(table, lambda r: r.od_mm == 12.7, change))
    assert any(d.kind == "unit-slip" and d.column == "od_mm" for d in found)


def test_a_wall_band_in_inches() -> None:
    row = "targets/flareless/12.7/1.57/1.73/carbon-steel/metal/none"
    found = strong(slipped("targets", ref(row), times(1 / 25.4, "wall_min_mm", "wall_max_mm")))
    named = [d for d in found if d.column == "wall_min_mm"]
    assert [d.kind for d in named] == ["unit-slip"]
