"""Numbers of two tables that cannot both be right."""

from typing import Any

import pytest

from catalog.plausibility import doubts_of
from tests.publish.slips import about, ref, shipped, slipped, strong, times


@pytest.mark.parametrize(
    ("table", "row"), [("cones", "cones/cone-S-6"), ("plates", "plates/plate-metric-6")]
)
def test_a_tool_below_the_ceiling_of_its_size(table: str, row: str) -> None:
    # The highest ceiling of 6 S and of 6 L is 24 kN: 23.9 is below it, 24 is not.
    below = slipped(table, ref(row), lambda _: {"rated_force_kn": 23.9})
    assert about(strong(below), row, "rated_force_kn") == ["relation"]
    at = slipped(table, ref(row), lambda _: {"rated_force_kn": 24.0})
    assert about(strong(at), row, "rated_force_kn") == []


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("return_force_kn", 40.0),  # 1 kN on 20 cm2 is 5 bar, 40 kN would be 200
        ("relief_setting_bar", 250.0),  # 0.4 of 630 bar
        ("usable_oil_cm3", 50.0),  # 20 cm2 x 3 cm = 60 cm3 a stroke
        ("pump_fine_stroke_cm3", 3.0),  # more than the full stroke of 2 cm3
    ],
)
def test_a_press_that_does_not_fit_itself(column: str, value: float) -> None:
    row = "presses/press-b"
    bad = slipped("presses", ref(row), lambda _: {column: value})
    assert about(strong(bad), row, column) == ["relation"]


def test_a_press_without_a_return_spring_is_no_doubt() -> None:
    bad = slipped("presses", ref("presses/press-b"), lambda _: {"return_force_kn": 0.0})
    assert doubts_of(bad) == ()


@pytest.mark.parametrize(
    ("yield_mpa", "weight"), [(235.0, None), (250.0, "weak"), (300.0, "strong")]
)
def test_the_coldest_strength_is_that_of_the_material(yield_mpa: float, weight: str | None) -> None:
    change: dict[str, Any] = {"yield_mpa": yield_mpa}
    bad = slipped("strengths", lambda r: r.material == "e235-n", lambda _: change)
    found = [d for d in doubts_of(bad) if d.column == "yield_mpa"]
    assert [d.weight for d in found] == ([weight] if weight else [])


def test_a_check_interval_unlike_the_others() -> None:
    row, column = "cones/cone-S-16", "presses_between_checks_stainless_steel"
    bad = slipped("cones", ref(row), lambda _: {column: 500})
    assert about(strong(bad), row, column) == ["relation"]


def test_a_wrong_dial_on_three_presses_is_told_once() -> None:
    bad = slipped("gauges", ref("gauges/gauge-b"), times(14.5, "span", "graduation"))
    assert len([d for d in strong(bad) if d.column == "span"]) <= 2


def test_the_shipped_tables_agree() -> None:
    assert doubts_of(shipped()) == ()
