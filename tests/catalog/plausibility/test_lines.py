"""Columns that follow od or temperature."""

import pytest

from catalog.plausibility.lines import line_doubts
from tests.publish.slips import about, ref, shipped, slipped, strong, times


def test_a_rating_that_rises_with_od_is_doubted() -> None:
    # 20 S rated 630 instead of 400 bar: more than 16 S beside it.
    bad = slipped("sizes", ref("sizes/S/20"), lambda _: {"rated_pressure_bar": 630.0})
    assert about(strong(bad), "sizes/S/20", "rated_pressure_bar") == ["wrong-order"]


@pytest.mark.parametrize("column", ["nut_hex_mm", "insertion_depth_mm", "min_straight_mm"])
def test_a_length_that_falls_with_od_is_doubted(column: str) -> None:
    # 0.6 of the value of 30 S is less than that of 25 S.
    bad = slipped("sizes", ref("sizes/S/30"), times(0.6, column))
    assert about(strong(bad), "sizes/S/30", column) != []


@pytest.mark.parametrize("column", ["yield_mpa", "tensile_mpa"])
def test_a_strength_that_rises_with_temperature_is_doubted(column: str) -> None:
    row = "strengths/en-1.4404/200"
    bad = slipped("strengths", ref(row), times(1.3, column))
    assert about(strong(bad), row, column) == ["wrong-order"]


def test_a_derating_that_rises_with_temperature_is_doubted() -> None:
    row = "derating/stainless-steel/200"
    bad = slipped("derating", ref(row), lambda _: {"factor": 0.95})
    assert about(strong(bad), row, "factor") == ["wrong-order"]


def test_a_cell_that_is_named_already_is_no_measure_of_the_others() -> None:
    bad = slipped("sizes", ref("sizes/S/16"), times(14.5, "rated_pressure_bar"))
    cell = ("sizes/S/16", "rated_pressure_bar")
    assert line_doubts(bad, set()) != []
    assert line_doubts(bad, {cell}) == []


def test_the_shipped_columns_follow() -> None:
    assert line_doubts(shipped(), set()) == []
