"""Tube ratings against derivations of their own, known identities and each other.

What a source prints stands in test_published.py, one example by hand beside each formula.
"""

from itertools import pairwise
from math import sqrt
from typing import Any

import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from catalog.formulas.formula import Formula
from catalog.formulas.tube import (
    asme_b31_3,
    asme_b31_3_holds,
    barlow,
    boardman,
    bore_yield,
    din_2413_pulsating,
    din_2413_static,
    din_2413_static_hot,
    gap_across,
    iso_10763,
    lame,
)

STRESSES = st.floats(1.0, 1000.0)
ODS = st.floats(1.0, 1000.0)
THIN_RATIOS = st.floats(0.001, 0.166)  # t / D up to 1/6 = 0.1667, where Boardman's branch ends
RATIOS = st.floats(0.001, 0.49)
SCALES = st.floats(0.01, 100.0)
SEAMLESS = {"E": 1.0, "W": 1.0, "Y": 0.4}

RATINGS: tuple[Formula[Any], ...] = (
    barlow,
    boardman,
    lame,
    iso_10763,
    din_2413_static,
    din_2413_static_hot,
    din_2413_pulsating,
    asme_b31_3,
)
every_rating = pytest.mark.parametrize("rating", RATINGS, ids=lambda rating: rating.__name__)


def rated(rating: Formula[Any], stress: float, od: float, wall: float) -> float:
    more = SEAMLESS if rating is asme_b31_3 else {}
    return rating(S=stress, D=od, t=wall, **more)


def field_of_lame() -> tuple[Any, Any, Any, Any, Any]:
    """Hoop stress at the bore of a tube under inner pressure p, by the boundary conditions.

    The radial equilibrium d(r s_r)/dr = s_t with s_r + s_t constant gives s = A +- B / r^2.
    """
    a, b = sympy.symbols("a b")
    p, od, bore = sympy.symbols("p D d", positive=True)
    field = sympy.solve([a - b / (bore / 2) ** 2 + p, a - b / (od / 2) ** 2], [a, b], dict=True)[0]
    return p, od, bore, field[a] + field[b] / (bore / 2) ** 2, -p


# formula check only
def test_lame_is_where_the_field_reaches_s_at_the_bore() -> None:
    p, od, bore, hoop, _ = field_of_lame()
    s, t = sympy.symbols("S t", positive=True)
    (allowed,) = sympy.solve(sympy.Eq(hoop, s), p)
    exact = allowed.subs(bore, od - 2 * t)
    for at in ((12.0, 1.5), (16.0, 3.0), (42.0, 3.0), (10.0, 4.0)):
        expected = float(exact.subs({s: 85, od: at[0], t: at[1]}))
        assert lame(S=85.0, D=at[0], t=at[1]) == pytest.approx(expected, rel=1e-12)


# formula check only
def test_bore_yield_follows_from_the_field_and_von_mises() -> None:
    # Axial with closed ends: the end force p pi d^2 / 4 on the section pi (D^2 - d^2) / 4.
    p, od, bore, hoop, radial = field_of_lame()
    axial = p * bore**2 / (od**2 - bore**2)
    squared = ((hoop - axial) ** 2 + (axial - radial) ** 2 + (radial - hoop) ** 2) / 2
    for od_mm, wall_mm in ((16.0, 1.8), (12.0, 1.5), (42.0, 3.0), (10.0, 4.0), (16.0, 7.999)):
        mpa = bore_yield(Re=235.0, D=od_mm, t=wall_mm)
        at = {p: mpa, od: od_mm, bore: od_mm - 2.0 * wall_mm}
        assert sqrt(float(squared.subs(at))) == pytest.approx(235.0, rel=1e-9)


# formula check only
@pytest.mark.parametrize(("od", "wall"), [(12.0, 1.5), (16.0, 2.0), (42.0, 3.0), (8.0, 2.5)])
def test_iso_10763_is_the_plastic_limit_of_a_tresca_wall(od: float, wall: float) -> None:
    # Equilibrium d(s_r)/dr = (s_t - s_r) / r; where the whole wall flows at s_t - s_r = S, the
    # pressure in the bore is the integral of S / r from the bore to the outside.
    expected, _ = quad(lambda r: 85.0 / r, od / 2.0 - wall, od / 2.0)
    assert iso_10763(S=85.0, D=od, t=wall) == pytest.approx(expected, rel=1e-10)


# formula check only
def test_din_2413_hot_balances_the_pressure_on_the_mean_diameter() -> None:
    # d + t is the mean diameter (D + d) / 2 = 8: p x 8 = 2 x 100 x 2.
    mean = (10.0 + 6.0) / 2.0
    assert din_2413_static_hot(S=100.0, D=10.0, t=2.0) * mean == pytest.approx(400.0, rel=1e-12)


# formula check only
def test_din_2413_pulsating_by_hand() -> None:
    # 42 x 3, c 0.9: t = 2.7; 2 x (226 / 1.5) x 2.7 / 44.7 = 813.6 / 44.7 = 18.2013 MPa.
    got = din_2413_pulsating(S=226.0 / 1.5, D=42.0, t=2.7)
    assert got == pytest.approx(18.2013, abs=5e-5)


# formula check only
def test_identity_1_b31_3_with_y_of_the_bore_is_lame() -> None:
    for od, wall in ((12.0, 1.0), (12.0, 2.0), (12.0, 4.0)):
        bore = od - 2.0 * wall
        thick = asme_b31_3(S=100.0, D=od, t=wall, E=1.0, W=1.0, Y=bore / (od + bore))
        assert thick == pytest.approx(lame(S=100.0, D=od, t=wall), rel=1e-12)


@given(STRESSES, ODS, RATIOS)
def test_identity_2_boardman_is_lame_beyond_one_sixth_and_b31_3_up_to_it(
    stress: float, od: float, ratio: float
) -> None:
    wall = ratio * od
    other = lame if 6.0 * wall > od else asme_b31_3
    got = boardman(S=stress, D=od, t=wall)
    assert got == pytest.approx(rated(other, stress, od, wall), rel=1e-12)


@given(STRESSES, ODS, THIN_RATIOS)
def test_identity_3_order_of_the_methods(stress: float, od: float, ratio: float) -> None:
    methods = (din_2413_pulsating, barlow, boardman, lame, iso_10763)
    ordered = [rated(method, stress, od, ratio * od) for method in methods]
    assert all(low < high for low, high in pairwise(ordered)), ordered


@every_rating
@given(STRESSES, ODS, RATIOS, SCALES)
def test_identity_4_same_shape_same_pressure_and_linear_in_stress(
    rating: Formula[Any], stress: float, od: float, ratio: float, scale: float
) -> None:
    mpa = rated(rating, stress, od, ratio * od)
    scaled = rated(rating, stress, scale * od, scale * (ratio * od))
    assert scaled == pytest.approx(mpa, rel=1e-9)
    assert rated(rating, scale * stress, od, ratio * od) == pytest.approx(scale * mpa, rel=1e-9)


@every_rating
@given(ODS, RATIOS)
def test_more_wall_carries_more(rating: Formula[Any], od: float, ratio: float) -> None:
    wall = ratio * od
    assert rated(rating, 100.0, od, wall) < rated(rating, 100.0, od, 1.001 * wall)


# formula check only
def test_a_very_thin_wall_keeps_its_digits() -> None:
    # Exact by rational arithmetic: t / D = 1e-9, S = 1; p = 2e-9 (1 + 1e-9 + ...) for both.
    assert lame(S=1.0, D=1.0, t=1e-9) == pytest.approx(2e-9 * (1.0 + 1e-9), rel=1e-14)
    assert iso_10763(S=1.0, D=1.0, t=1e-9) == pytest.approx(2e-9 * (1.0 + 1e-9), rel=1e-14)


# formula check only
def test_b31_3_with_y_of_0_is_barlow_and_with_1_on_the_bore() -> None:
    # 2 x 100 x 2 / 20 = 20; 2 x 100 x 2 / 16 = 25.
    assert asme_b31_3(S=100.0, D=20.0, t=2.0, E=1.0, W=1.0, Y=0.0) == pytest.approx(20.0)
    assert asme_b31_3(S=100.0, D=20.0, t=2.0, E=1.0, W=1.0, Y=1.0) == pytest.approx(25.0)


@pytest.mark.parametrize(
    ("p", "t", "quality", "weld", "holds"),
    [
        (10.0, 1.9999999, 1.0, 1.0, True),
        (10.0, 2.0, 1.0, 1.0, False),  # t < D / 6, not t = D / 6
        (10.0, 3.0, 1.0, 1.0, False),
        (38.5, 1.5, 1.0, 1.0, True),  # 0.385 x 100
        (38.500001, 1.5, 1.0, 1.0, False),
        (30.799, 1.5, 0.8, 1.0, True),  # 0.385 x 100 x 0.8 = 30.8
        (30.801, 1.5, 0.8, 1.0, False),
        (30.801, 1.5, 1.0, 0.8, False),
    ],
)
def test_limits_of_b31_3(p: float, t: float, quality: float, weld: float, *, holds: bool) -> None:
    assert asme_b31_3_holds(p=p, S=100.0, D=12.0, t=t, E=quality, W=weld) is holds


# formula check only
@pytest.mark.parametrize(
    ("od", "angle", "expected"),
    [
        (42.0, 1.0, 0.73311),  # tan 1 deg = 0.0174551
        (6.0, 0.5, 0.05236),  # tan 0.5 deg = 0.0087269
        (10.0, 45.0, 10.0),
        (16.0, 0.0, 0.0),
    ],
)
def test_out_of_square_by_hand(od: float, angle: float, expected: float) -> None:
    assert gap_across(D=od, a=angle) == pytest.approx(expected, abs=6e-6)
