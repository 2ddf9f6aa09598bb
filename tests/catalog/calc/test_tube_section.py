"""Bore, wall to count on, bends and mass."""

from collections.abc import Callable
from math import cos, inf, nan, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from catalog.calc.tube_section import (
    bent_wall_mm,
    bore_mm,
    din_2413_under_percent,
    effective_wall_mm,
    tube_mass_kg_m,
)
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


# published-facts 3 (DIN 2413-1, memory): wall factor 0.80 at od 4 to 5 mm, 0.85 at 6 to 8, 0.90 of
# what is larger. Between 5 and 6 mm it names none, and the safer one is counted.
@pytest.mark.parametrize(
    ("od_mm", "factor"),
    [
        (4, 0.80),
        (5, 0.80),
        (5.5, 0.80),
        (6, 0.85),
        (6.35, 0.85),
        (8, 0.85),
        (8.1, 0.90),
        (42, 0.90),
    ],
)
def test_the_wall_factor_of_din_2413(od_mm: float, factor: float) -> None:
    assert 1.0 - din_2413_under_percent(od_mm) / 100.0 == pytest.approx(factor, rel=1e-12)


def torus_hoop_n_mm(pressure_mpa: float, a_mm: float, bend_mm: float, phi: float) -> float:
    """Return the hoop force in a bent tube, by membrane theory [N/mm].

    A tube of radius a bent to R is part of a torus. Cut it along the crown, the circle of radius R
    where the wall lies across the axis of the torus, and along the circle at the angle phi from the
    crown. On that ring of shell the pressure pushes along the axis with p cos(phi) an area; only
    the cut at phi can hold it, with the share sin(phi) of the hoop force on its length 2 pi r.
    """

    def push_n(at: float) -> float:
        return pressure_mpa * cos(at) * 2.0 * pi * (bend_mm + a_mm * sin(at)) * a_mm

    pushed_n, _ = quad(push_n, 0.0, phi)
    return float(pushed_n / (2.0 * pi * (bend_mm + a_mm * sin(phi)) * sin(phi)))


# formula check only
@pytest.mark.parametrize("tightness", [2.0, 3.0, 5.0])
def test_the_outer_wall_of_a_bend_covers_the_hoop_stress_of_a_torus(tightness: float) -> None:
    od_mm, wall_mm, pressure_mpa = 16.0, 2.0, 20.0
    a_mm, bend_mm = od_mm / 2.0, tightness * od_mm
    outer_mm = bent_wall_mm(wall_mm, od_mm, bend_mm)
    counted_mpa = pressure_mpa * a_mm / outer_mm

    def stress_mpa(phi: float) -> float:
        # Bending keeps the volume of a fibre, whose length goes from R to r = R + a sin(phi).
        left_mm = wall_mm * bend_mm / (bend_mm + a_mm * sin(phi))
        return torus_hoop_n_mm(pressure_mpa, a_mm, bend_mm, phi) / left_mm

    # The outside is the worst place of the section: there the thinner wall costs a / R and the
    # double curvature gives half of it back; at the inside of the bend it is the other way round.
    straight_mpa = pressure_mpa * a_mm / wall_mm
    outside_mpa, inside_mpa = stress_mpa(pi / 2.0), stress_mpa(-pi / 2.0)
    assert outside_mpa == pytest.approx(straight_mpa * (1.0 + a_mm / (2.0 * bend_mm)), rel=1e-9)
    assert inside_mpa == pytest.approx(straight_mpa * (1.0 - a_mm / (2.0 * bend_mm)), rel=1e-9)
    around = [stress_mpa(-pi / 2.0 + pi * (n + 0.5) / 40.0) for n in range(40)]
    assert max(around) < outside_mpa < counted_mpa
    # What is counted is on the safe side by no more than the half that is given back.
    assert counted_mpa - outside_mpa == pytest.approx(straight_mpa * a_mm / (2.0 * bend_mm))


# formula check only
def test_the_hoop_force_of_the_torus_leaves_what_holds_a_section_together() -> None:
    # Across the wall N_hoop / a + N_along sin(phi) / r = p; the force along the bend that follows,
    # summed round the section, must hold the pressure on the bore: p pi a^2.
    a_mm, bend_mm, pressure_mpa = 8.0, 32.0, 20.0

    def along_n(phi: float) -> float:
        hoop_n_mm = torus_hoop_n_mm(pressure_mpa, a_mm, bend_mm, phi)
        left_mpa = pressure_mpa - hoop_n_mm / a_mm
        return left_mpa * (bend_mm + a_mm * sin(phi)) / sin(phi) * a_mm

    halves = [quad(along_n, *part)[0] for part in ((-pi / 2, -1e-4), (1e-4, pi / 2))]
    assert 2.0 * sum(halves) == pytest.approx(pressure_mpa * pi * a_mm**2, rel=1e-3)


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
