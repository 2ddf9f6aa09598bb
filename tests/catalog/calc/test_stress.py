"""Stresses in the wall, and the yield at the bore, against derivations of their own."""

from math import inf, nan, sqrt

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from catalog.calc.stress import (
    bore_yield_mpa,
    design_stress_mpa,
    lame_hoop_mpa,
    lame_radial_mpa,
)
from catalog.calc.tube import lame_mpa
from tests.catalog.calc.strategies import ODS_MM, RATIOS, STRESSES_MPA


# formula check only
def test_bore_yield_follows_from_the_field_and_von_mises() -> None:
    # Hoop and radial from the boundary conditions; axial with closed ends: the end force
    # p pi d^2 / 4 on the section pi (D^2 - d^2) / 4.
    a, b = sympy.symbols("a b")
    p, od, bore, re = sympy.symbols("p D d Re", positive=True)
    field = sympy.solve([a - b / (bore / 2) ** 2 + p, a - b / (od / 2) ** 2], [a, b], dict=True)[0]
    hoop = field[a] + field[b] / (bore / 2) ** 2
    axial = p * bore**2 / (od**2 - bore**2)
    radial = -p
    equivalent_squared = ((hoop - axial) ** 2 + (axial - radial) ** 2 + (radial - hoop) ** 2) / 2
    ours = re / sympy.sqrt(3) * (1 - (bore / od) ** 2)
    assert sympy.simplify(equivalent_squared.subs(p, ours) - re**2) == 0
    for od_mm, wall_mm in ((16.0, 1.8), (12.0, 1.5), (42.0, 3.0), (10.0, 4.0)):
        expected = float(ours.subs({re: 235, od: od_mm, bore: od_mm - 2.0 * wall_mm}).evalf())
        assert bore_yield_mpa(235.0, od_mm, wall_mm) == pytest.approx(expected, rel=1e-12)


@given(STRESSES_MPA, ODS_MM, RATIOS)
def test_our_own_field_yields_at_that_pressure(
    yield_mpa: float, od_mm: float, ratio: float
) -> None:
    wall_mm = ratio * od_mm
    inner_mm, outer_mm = od_mm / 2.0 - wall_mm, od_mm / 2.0
    pressure_mpa = bore_yield_mpa(yield_mpa, od_mm, wall_mm)
    hoop = lame_hoop_mpa(pressure_mpa, 0.0, inner_mm, outer_mm, inner_mm)
    radial = lame_radial_mpa(pressure_mpa, 0.0, inner_mm, outer_mm, inner_mm)
    axial = pressure_mpa * inner_mm**2 / (outer_mm**2 - inner_mm**2)
    mises = sqrt(((hoop - axial) ** 2 + (axial - radial) ** 2 + (radial - hoop) ** 2) / 2.0)
    assert mises == pytest.approx(yield_mpa, rel=1e-8)


# formula check only
def test_bore_yield_by_hand() -> None:
    # 16 x 2 E235 at the least wall 1.8: d = 12.4, (d / D)^2 = 0.600625,
    # 235 / 1.7320508 x 0.399375 = 135.677 x 0.399375 = 54.186 MPa.
    assert bore_yield_mpa(235.0, 16.0, 1.8) == pytest.approx(54.186, abs=5e-4)


# formula check only
def test_bore_yield_of_hardly_any_bore() -> None:
    # d / D = 0.002 / 16: Re / sqrt 3 but for 1.6e-8 of it.
    assert bore_yield_mpa(235.0, 16.0, 7.999) == pytest.approx(235.0 / sqrt(3.0), rel=2e-8)


# formula check only
def test_a_root_finder_on_tresca_gives_a_lower_pressure() -> None:
    # Tresca at the bore: hoop - radial = Re, p = (Re / 2)(1 - (d / D)^2), sqrt(3) / 2 of Mises.
    def excess(pressure_mpa: float) -> float:
        hoop = lame_hoop_mpa(pressure_mpa, 0.0, 6.0, 8.0, 6.0)
        return hoop - lame_radial_mpa(pressure_mpa, 0.0, 6.0, 8.0, 6.0) - 235.0

    tresca = brentq(excess, 1.0, 235.0, xtol=1e-12)
    assert tresca / bore_yield_mpa(235.0, 16.0, 2.0) == pytest.approx(sqrt(3.0) / 2.0, rel=1e-9)


@given(
    st.floats(0.0, 500.0),
    st.floats(0.0, 500.0),
    st.floats(1.0, 100.0),
    st.floats(1.05, 5.0),
    st.floats(0.0, 1.0),
)
def test_the_field_meets_its_pressures_and_its_equilibrium(
    inner_mpa: float, outer_mpa: float, inner_mm: float, ratio: float, share: float
) -> None:
    outer_mm = inner_mm * ratio
    at_mm = min(outer_mm, inner_mm + share * (outer_mm - inner_mm))
    slack = pytest.approx
    bore = lame_radial_mpa(inner_mpa, outer_mpa, inner_mm, outer_mm, inner_mm)
    outside = lame_radial_mpa(inner_mpa, outer_mpa, inner_mm, outer_mm, outer_mm)
    assert bore == slack(-inner_mpa, rel=1e-9, abs=1e-9)
    assert outside == slack(-outer_mpa, rel=1e-9, abs=1e-9)
    # The sum of the two is the same through the wall.
    total = lame_hoop_mpa(inner_mpa, outer_mpa, inner_mm, outer_mm, at_mm) + lame_radial_mpa(
        inner_mpa, outer_mpa, inner_mm, outer_mm, at_mm
    )
    total_at_bore = lame_hoop_mpa(inner_mpa, outer_mpa, inner_mm, outer_mm, inner_mm) + bore
    assert total == slack(total_at_bore, rel=1e-9, abs=1e-6)


@given(STRESSES_MPA, ODS_MM, RATIOS)
def test_the_lame_rating_puts_the_stress_at_the_bore(
    stress_mpa: float, od_mm: float, ratio: float
) -> None:
    wall_mm = ratio * od_mm
    inner_mm, outer_mm = od_mm / 2.0 - wall_mm, od_mm / 2.0
    pressure_mpa = lame_mpa(stress_mpa, od_mm, wall_mm)
    hoop = lame_hoop_mpa(pressure_mpa, 0.0, inner_mm, outer_mm, inner_mm)
    assert hoop == pytest.approx(stress_mpa, rel=1e-8)


@pytest.mark.parametrize(
    "radii",
    [
        (0.0, 8.0, 4.0),
        (-6.0, 8.0, 7.0),
        (6.0, 8.0, 5.999),
        (6.0, 8.0, 8.001),
        (8.0, 8.0, 8.0),
        (8.0, 6.0, 7.0),
        (6.0, inf, 7.0),
        (nan, 8.0, 7.0),
        (6.0, nan, 7.0),
        (6.0, 8.0, nan),
    ],
)
def test_refuses_radii_outside_the_wall(radii: tuple[float, float, float]) -> None:
    for stress in (lame_hoop_mpa, lame_radial_mpa):
        with pytest.raises(ValueError, match=r"^the radii must be"):
            stress(10.0, 0.0, *radii)


@pytest.mark.parametrize("bad", [-1.0, inf, nan])
def test_refuses_pressures_that_are_none(bad: float) -> None:
    for stress in (lame_hoop_mpa, lame_radial_mpa):
        for pressures in ((bad, 0.0), (0.0, bad)):
            with pytest.raises(ValueError, match=r"^both pressures must be"):
                stress(*pressures, 6.0, 8.0, 7.0)


@pytest.mark.parametrize(
    "values",
    [
        (0.0, 16.0, 2.0),
        (nan, 16.0, 2.0),
        (inf, 16.0, 2.0),
        (235.0, 16.0, 8.0),
        (235.0, nan, 2.0),
        (235.0, 16.0, 0.0),
        (235.0, inf, 2.0),
    ],
)
def test_bore_yield_refuses_what_is_no_tube(values: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match=r"must be above 0"):
        bore_yield_mpa(*values)


# formula check only
def test_design_stress_by_hand() -> None:
    assert design_stress_mpa(340.0, 4.0) == 85.0
    assert design_stress_mpa(235.0, 1.0) == 235.0


@pytest.mark.parametrize(
    "values",
    [(0.0, 4.0), (-1.0, 4.0), (inf, 4.0), (nan, 4.0), (340.0, 0.99), (340.0, inf), (340.0, nan)],
)
def test_refuses_a_design_factor_below_one(values: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"factor at least 1"):
        design_stress_mpa(*values)
