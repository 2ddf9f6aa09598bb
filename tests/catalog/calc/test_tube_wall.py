"""Required walls: each is the inverse of its rating, and refuses what no wall carries."""

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from catalog.calc import asme, tube, tube_wall
from tests.catalog.calc.strategies import ODS_MM, RATIOS, STRESSES_MPA

Function = Callable[[float, float, float], float]
PAIRS: dict[str, tuple[Function, Function]] = {
    "barlow": (tube.barlow_mpa, tube_wall.barlow_wall_mm),
    "boardman": (tube.boardman_mpa, tube_wall.boardman_wall_mm),
    "lame": (tube.lame_mpa, tube_wall.lame_wall_mm),
    "iso-10763": (tube.iso_10763_mpa, tube_wall.iso_10763_wall_mm),
    "din-static": (tube.din_2413_static_mpa, tube_wall.din_2413_static_wall_mm),
    "din-hot": (tube.din_2413_static_hot_mpa, tube_wall.din_2413_static_hot_wall_mm),
    "din-pulsating": (tube.din_2413_pulsating_mpa, tube_wall.din_2413_pulsating_wall_mm),
    "asme-b31.3": (asme.asme_b31_3_mpa, asme.asme_b31_3_wall_mm),
}
every_method = pytest.mark.parametrize("method", PAIRS)


@every_method
@given(STRESSES_MPA, ODS_MM, RATIOS)
def test_the_wall_of_a_rating_is_the_wall(
    method: str, stress_mpa: float, od_mm: float, ratio: float
) -> None:
    rating, wall = PAIRS[method]
    wall_mm = ratio * od_mm
    pressure_mpa = rating(stress_mpa, od_mm, wall_mm)
    assert wall(pressure_mpa, stress_mpa, od_mm) == pytest.approx(wall_mm, rel=1e-9)


@every_method
@given(st.floats(0.01, 0.6), STRESSES_MPA, ODS_MM)
def test_the_rating_of_a_wall_is_the_pressure(
    method: str, share: float, stress_mpa: float, od_mm: float
) -> None:
    # Up to 0.6 S every method has a wall: the first to end is DIN pulsating, at 2/3 S.
    rating, wall = PAIRS[method]
    pressure_mpa = share * stress_mpa
    wall_mm = wall(pressure_mpa, stress_mpa, od_mm)
    assert rating(stress_mpa, od_mm, wall_mm) == pytest.approx(pressure_mpa, rel=1e-9)


# formula check only
@every_method
@pytest.mark.parametrize("pressure_mpa", [5.0, 25.0, 45.0])
def test_a_root_finder_gives_the_same_wall(method: str, pressure_mpa: float) -> None:
    # With S 85: 5 and 25 lie in Boardman's first branch (to 5/13 x 85 = 32.7), 45 in its second.
    rating, wall = PAIRS[method]
    root = brentq(lambda t: rating(85.0, 16.0, t) - pressure_mpa, 1e-6, 7.999999, xtol=1e-13)
    assert wall(pressure_mpa, 85.0, 16.0) == pytest.approx(root, rel=1e-9)


# formula check only
def test_boardman_by_hand_in_both_branches() -> None:
    # S 130, D 12, p 50 = 5/13 S: t = 50 x 12 / (260 + 40) = 2 = D / 6, where the branches meet.
    assert tube_wall.boardman_wall_mm(50.0, 130.0, 12.0) == pytest.approx(2.0, rel=1e-14)
    # p 40: 480 / (260 + 32) = 1.643836
    assert tube_wall.boardman_wall_mm(40.0, 130.0, 12.0) == pytest.approx(1.643836, abs=5e-7)
    # d = D / 2: p / S = (4 - 1) / (4 + 1) = 0.6, t = D / 4 = 3
    assert tube_wall.boardman_wall_mm(78.0, 130.0, 12.0) == pytest.approx(3.0, rel=1e-14)


# The share of S beyond which no wall is left, t -> D / 2 in each formula:
# 2 S t / D -> S; Lamé -> S; 2 S t / (d + t) -> 2 S; 2 S t / (D + t) -> 2/3 S; Y 0.4: S / 0.6.
@pytest.mark.parametrize(
    ("method", "share"),
    [
        ("barlow", 1.0),
        ("boardman", 1.0),
        ("lame", 1.0),
        ("din-static", 1.0),
        ("din-hot", 2.0),
        ("din-pulsating", 2.0 / 3.0),
        ("asme-b31.3", 1.0 / 0.6),
    ],
)
def test_refuses_a_pressure_that_no_wall_carries(method: str, share: float) -> None:
    _, wall = PAIRS[method]
    assert wall(0.999 * share * 100.0, 100.0, 12.0) < 6.0
    for beyond in (1.0 + 1e-12, 1.001, 3.0, 1e6):
        with pytest.raises(ValueError, match=r"^no wall below half of outside diameter 12 mm"):
            wall(beyond * share * 100.0, 100.0, 12.0)


@pytest.mark.parametrize("method", ["barlow", "boardman", "lame", "din-static"])
def test_refuses_the_stress_itself_as_pressure(method: str) -> None:
    _, wall = PAIRS[method]
    with pytest.raises(ValueError, match=r"^no wall"):
        wall(100.0, 100.0, 12.0)


def test_the_logarithm_ends_only_where_no_bore_is_left() -> None:
    # t = (D / 2) (1 - exp(-p / S)) is below D / 2 for every pressure, while a float can say so.
    assert tube_wall.iso_10763_wall_mm(1000.0, 100.0, 12.0) < 6.0
    with pytest.raises(ValueError, match=r"^no wall"):
        tube_wall.iso_10763_wall_mm(1e5, 100.0, 12.0)


@every_method
@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_refuses_what_is_no_size(method: str, bad: float) -> None:
    _, wall = PAIRS[method]
    for values in ((bad, 100.0, 12.0), (10.0, bad, 12.0), (10.0, 100.0, bad)):
        with pytest.raises(ValueError, match=r"must be above 0 and finite"):
            wall(*values)
