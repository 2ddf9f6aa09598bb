"""A force with its decimal point one place off."""

import pytest

from tests.publish.slips import CARBON_16, about, ref, shipped, slipped, strong, targets, times

ROWS = [row.ref for row in targets()][::25]


@pytest.mark.parametrize("row", ROWS)
@pytest.mark.parametrize(("factor", "words"), [(10.0, "too high"), (0.1, "too low")])
def test_a_row_ten_times_off_is_named_as_such(row: str, factor: float, words: str) -> None:
    found = strong(slipped("targets", ref(row), times(factor, "force_kn", "ceiling_kn")))
    told = [d for d in found if row in d.rows and d.column == "force_kn"]
    assert [d.kind for d in told] == ["ten-times"]
    assert f"10 times {words}" in told[0].message


def test_a_force_alone_ten_times_off_leaves_its_ceiling_in_peace() -> None:
    found = strong(slipped("targets", ref(CARBON_16), times(10, "force_kn")))
    assert [(d.kind, d.column) for d in found] == [("ten-times", "force_kn")]


def test_a_ceiling_alone_ten_times_off_is_doubted() -> None:
    found = strong(slipped("targets", ref(CARBON_16), times(10, "ceiling_kn")))
    assert "ten-times" in about(found, CARBON_16, "ceiling_kn")
    assert about(found, CARBON_16, "force_kn") == []


def test_a_whole_size_is_told_once() -> None:
    bad = slipped("targets", lambda r: r.series == "S" and r.od_mm == 16, times(10, "force_kn"))
    told = [d for d in strong(bad) if d.column == "force_kn"]
    assert [d.kind for d in told] == ["ten-times"]
    assert len(told[0].rows) == 21


def test_two_slips_are_two_doubts() -> None:
    other = "targets/L/35/2.9/3.1/stainless-steel/metal/none"
    bad = slipped("targets", lambda r: r.ref in (CARBON_16, other), times(10, "force_kn"))
    found = strong(bad)
    assert about(found, CARBON_16, "force_kn") == ["ten-times"]
    assert about(found, other, "force_kn") == ["ten-times"]


def test_the_revision_before_says_so_too() -> None:
    bad = slipped("targets", ref(CARBON_16), times(10, "force_kn"))
    found = [d for d in strong(bad, shipped()) if CARBON_16 in d.rows]
    assert len(found) == 1
    assert "27.5" in found[0].message


@pytest.mark.parametrize(
    ("table", "row", "column"),
    [
        ("cones", "cones/cone-S-16", "rated_force_kn"),
        ("plates", "plates/plate-metric-16", "rated_force_kn"),
        ("sizes", "sizes/S/16", "rated_pressure_bar"),
        ("sizes", "sizes/S/16", "insertion_depth_mm"),
        ("tubes", "tubes/en-10305-4/30/3", "od_tolerance_mm"),
        ("inserts", "inserts/carbon-steel/16", "needed_below_mm"),
        ("materials", "materials/e235-n", "yield_mpa"),
        ("strengths", "strengths/en-1.4404/100", "yield_mpa"),
        ("presses", "presses/press-b", "rated_pressure_bar"),
    ],
)
@pytest.mark.parametrize("factor", [10.0, 0.1])
def test_other_tables_are_judged_too(table: str, row: str, column: str, factor: float) -> None:
    bad = slipped(table, ref(row), times(factor, column))
    assert about(strong(bad), row, column) != []
