"""Bore, wall to count on, bends and mass."""

from collections.abc import Callable
from math import inf, nan, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from catalog.calc.tube_section import bent_wall_mm, bore_mm, effective_wall_mm, tube_mass_kg_m
from tests.catalog.calc.strategies import ODS_MM, RATIOS


# formula check only
def test_bore_and_walls_by_hand() -> None:
    assert bore_mm(16.0, 2.0) == 12.0
    assert bore_mm(16.0, 7.999) == pytest.approx(0.002, rel=1e-9)
    # 2 less 10 % is 1.8, less 0.2 is 1.6
    assert effective_wall_mm(2.0, 10.0, 0.2) == pytest.approx(1.6, rel=1e-12)
    assert effective_wall_mm(2.0) == 2.0
    # 2 x 48 / (48 + 8) = 96 / 56
    assert bent_wall_mm(2.0, 16.0, 48.0) == pytest.approx(96.0 / 56.0, rel=1e-12)


# formula check only
def test_mass_is_the_section_times_density() -> None:
    # The section as the integral of rings 2 pi r dr, 16 x 2: from 6 to 8 mm.
    section_mm2, _ = quad(lambda r: 2.0 * pi * r, 6.0, 8.0)
    assert tube_mass_kg_m(16.0, 2.0, 7850.0) == pytest.approx(section_mm2 * 7850e-6, rel=1e-12)
    # By hand: pi x 2 x 14 = 87.965 mm2, x 7850e-6 = 0.69052 kg/m
    assert tube_mass_kg_m(16.0, 2.0, 7850.0) == pytest.approx(0.69052, abs=5e-6)


# formula check only
def test_hardly_any_bore_is_still_a_tube() -> None:
    assert bent_wall_mm(7.999, 16.0, 48.0) == pytest.approx(7.999 * 48.0 / 56.0, rel=1e-12)
    # All but the bore of a solid bar: pi x 64 mm2 x 7850e-6 = 1.57834 kg/m
    assert tube_mass_kg_m(16.0, 7.999, 7850.0) == pytest.approx(1.57834, abs=5e-6)


@given(ODS_MM, RATIOS, st.floats(0.51, 100.0))
def test_a_bend_thins_the_outer_wall_and_a_tighter_one_more(
    od_mm: float, ratio: float, tightness: float
) -> None:
    wall_mm = ratio * od_mm
    radius_mm = tightness * od_mm
    bent_mm = bent_wall_mm(wall_mm, od_mm, radius_mm)
    assert 0.5 * wall_mm < bent_mm < wall_mm
    assert bent_mm < bent_wall_mm(wall_mm, od_mm, 1.01 * radius_mm)
    # The volume of the outer fibre is kept: its arc grows from R to R + D / 2.
    assert bent_mm * (radius_mm + od_mm / 2.0) == pytest.approx(wall_mm * radius_mm, rel=1e-12)


@pytest.mark.parametrize(
    "values",
    [
        (0.0, 0.0, 0.0),
        (-1.0, 0.0, 0.0),
        (inf, 0.0, 0.0),
        (nan, 0.0, 0.0),
        (2.0, 100.0, 0.0),
        (2.0, -1.0, 0.0),
        (2.0, nan, 0.0),
        (2.0, 0.0, -0.1),
        (2.0, 0.0, 2.0),  # nothing left
        (2.0, 10.0, 1.9),  # less than nothing
        (2.0, 0.0, inf),
        (2.0, 0.0, nan),
    ],
)
def test_refuses_a_wall_that_is_gone(values: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match=r"check the value"):
        effective_wall_mm(*values)


@pytest.mark.parametrize("radius_mm", [0.0, -10.0, 8.0, inf, nan])
def test_refuses_a_bend_that_no_tube_can_have(radius_mm: float) -> None:
    with pytest.raises(ValueError, match=r"^bend radius .* must be above 8 mm"):
        bent_wall_mm(2.0, 16.0, radius_mm)


@pytest.mark.parametrize(("od_mm", "wall_mm"), [(16.0, 8.0), (16.0, 0.0), (nan, 2.0), (inf, 2.0)])
@pytest.mark.parametrize(
    "section",
    [
        bore_mm,
        lambda od_mm, wall_mm: bent_wall_mm(wall_mm, od_mm, 100.0),
        lambda od_mm, wall_mm: tube_mass_kg_m(od_mm, wall_mm, 7850.0),
    ],
    ids=["bore", "bend", "mass"],
)
def test_refuses_what_is_no_tube(
    section: Callable[[float, float], float], od_mm: float, wall_mm: float
) -> None:
    with pytest.raises(ValueError, match=r"^no tube has"):
        section(od_mm, wall_mm)


@pytest.mark.parametrize("density", [0.0, -1.0, inf, nan])
def test_refuses_a_density_that_is_none(density: float) -> None:
    with pytest.raises(ValueError, match=r"^density"):
        tube_mass_kg_m(16.0, 2.0, density)
