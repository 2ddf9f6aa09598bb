"""Separation force and load on the nut."""

from math import inf, nan, pi

import pytest
from scipy.integrate import quad

from catalog.calc.assembly import (
    derated_mpa,
    design_pressure_mpa,
    margin,
    nut_load_kn,
    proof_limit_mpa,
    separation_force_kn,
)
from catalog.calc.stress import bore_yield_mpa


# formula check only
def test_separation_force_is_the_pressure_on_the_section() -> None:
    # By hand: 40 MPa on 16 mm: 40 x pi x 64 = 8042.5 N. As an integral over rings of the section:
    area_mm2, _ = quad(lambda r: 2.0 * pi * r, 0.0, 8.0)
    assert separation_force_kn(40.0, 16.0) == pytest.approx(8.0425, abs=5e-5)
    assert separation_force_kn(40.0, 16.0) == pytest.approx(40.0 * area_mm2 / 1000.0, rel=1e-12)
    assert separation_force_kn(0.0, 16.0) == nut_load_kn(0.0, 16.0) == 0.0


# formula check only
def test_the_nut_of_a_small_tube_carries_much_more_than_the_tube() -> None:
    # 6 mm with a seal circle of 7.6 mm: (7.6 / 6)^2 = 1.604, the 1.6 of the design.
    assert nut_load_kn(25.0, 7.6) / separation_force_kn(25.0, 6.0) == pytest.approx(1.604, abs=5e-4)
    # 25 x pi x 7.6^2 / 4 = 1134.1 N
    assert nut_load_kn(25.0, 7.6) == pytest.approx(1.1341, abs=5e-5)


@pytest.mark.parametrize("values", [(-1.0, 16.0), (inf, 16.0), (nan, 16.0), (40.0, 0.0)])
def test_refuses_what_is_no_load(values: tuple[float, float]) -> None:
    for load in (separation_force_kn, nut_load_kn):
        with pytest.raises(ValueError, match=r"diameter above 0 mm"):
            load(*values)


@pytest.mark.parametrize("bad", [-16.0, inf, nan])
def test_refuses_what_is_no_diameter(bad: float) -> None:
    for load in (separation_force_kn, nut_load_kn):
        with pytest.raises(ValueError, match=r"diameter above 0 mm"):
            load(40.0, bad)


# formula check only
def test_limits_by_hand() -> None:
    # 400 bar at a factor of 0.9 is 360 bar; 54.186 MPa at the bore under a proof of 1.5 is 36.124.
    assert derated_mpa(40.0, 0.9) == pytest.approx(36.0, rel=1e-12)
    assert derated_mpa(40.0, 1.0) == 40.0
    # Little is left in the heat, and it is still a factor.
    assert derated_mpa(40.0, 0.0025) == pytest.approx(0.1, rel=1e-12)
    assert derated_mpa(0.004, 1.0) == 0.004
    at_yield_mpa = bore_yield_mpa(235.0, 16.0, 1.8)
    assert proof_limit_mpa(at_yield_mpa, 1.5) == pytest.approx(36.124, abs=5e-4)
    assert proof_limit_mpa(at_yield_mpa, 1.0) == at_yield_mpa


@pytest.mark.parametrize(
    "values", [(0.0, 0.9), (-1.0, 0.9), (inf, 0.9), (nan, 0.9), (40.0, 0.0), (40.0, 1.01)]
)
def test_refuses_a_derating_that_is_none(values: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"factor above 0 to 1"):
        derated_mpa(*values)


@pytest.mark.parametrize(
    "values", [(-1.0, 1.5), (inf, 1.5), (nan, 1.5), (54.0, 0.99), (54.0, inf), (54.0, nan)]
)
def test_refuses_a_proof_below_the_pressure(values: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"factor at least 1"):
        proof_limit_mpa(*values)


# formula check only
def test_design_pressure_and_margin_by_hand() -> None:
    # 200 bar x 4 = 800 bar; 244.53 / 200 = 1.22265.
    assert design_pressure_mpa(20.0, 4.0) == pytest.approx(80.0, rel=1e-12)
    assert margin(24.453, 20.0) == pytest.approx(1.22265, rel=1e-12)
    for bad in (0.99, inf, nan):
        with pytest.raises(ValueError, match="factor"):
            design_pressure_mpa(20.0, bad)
    for bad in (0.0, -1.0, inf, nan):
        with pytest.raises(ValueError, match="pressure"):
            margin(20.0, bad)
