"""ASME B31.3 (3a): its factors and its limits. The published examples stand in published.py."""

from math import inf, nan

import pytest

from catalog.calc.asme import asme_b31_3_applies, asme_b31_3_mpa, asme_b31_3_wall_mm


# formula check only
def test_factors_by_hand() -> None:
    # 2 x 100 x 0.85 x 0.9 x 2 / (20 - 2 x 0.5 x 2) = 306 / 18 = 17 MPa, and back.
    assert asme_b31_3_mpa(100.0, 20.0, 2.0, 0.85, 0.9, 0.5) == pytest.approx(17.0, rel=1e-12)
    assert asme_b31_3_wall_mm(17.0, 100.0, 20.0, 0.85, 0.9, 0.5) == pytest.approx(2.0, rel=1e-12)


def test_the_wall_must_be_below_a_sixth() -> None:
    assert asme_b31_3_applies(10.0, 100.0, 12.0, 1.9999999)
    assert not asme_b31_3_applies(10.0, 100.0, 12.0, 2.0), "t < D / 6, not t = D / 6"
    assert not asme_b31_3_applies(10.0, 100.0, 12.0, 3.0)


def test_the_pressure_may_reach_0_385_of_the_stress() -> None:
    assert asme_b31_3_applies(38.5, 100.0, 12.0, 1.5)
    assert not asme_b31_3_applies(38.500001, 100.0, 12.0, 1.5)
    # 0.385 x 100 x 0.8 = 30.8
    assert asme_b31_3_applies(30.799, 100.0, 12.0, 1.5, quality=0.8)
    assert not asme_b31_3_applies(30.801, 100.0, 12.0, 1.5, quality=0.8)
    assert not asme_b31_3_applies(30.801, 100.0, 12.0, 1.5, weld=0.8)


@pytest.mark.parametrize("bad", [0.0, -0.1, 1.0001, inf, nan])
def test_refuses_factors_out_of_range(bad: float) -> None:
    for factors in ({"quality": bad}, {"weld": bad}):
        with pytest.raises(ValueError, match=r"at most 1"):
            asme_b31_3_mpa(100.0, 12.0, 1.5, **factors)
        with pytest.raises(ValueError, match=r"at most 1"):
            asme_b31_3_wall_mm(10.0, 100.0, 12.0, **factors)
        with pytest.raises(ValueError, match=r"at most 1"):
            asme_b31_3_applies(10.0, 100.0, 12.0, 1.5, **factors)


@pytest.mark.parametrize("y", [-0.1, 1.1, nan])
def test_refuses_y_out_of_range(y: float) -> None:
    with pytest.raises(ValueError, match=r"from 0 to 1"):
        asme_b31_3_mpa(100.0, 12.0, 1.5, y=y)
    with pytest.raises(ValueError, match=r"from 0 to 1"):
        asme_b31_3_wall_mm(10.0, 100.0, 12.0, y=y)


# formula check only
def test_y_may_be_0_and_1() -> None:
    # Y 0 is Barlow, 2 x 100 x 2 / 20 = 20; Y 1 is on the bore, 2 x 100 x 2 / 16 = 25.
    assert asme_b31_3_mpa(100.0, 20.0, 2.0, y=0.0) == pytest.approx(20.0, rel=1e-12)
    assert asme_b31_3_mpa(100.0, 20.0, 2.0, y=1.0) == pytest.approx(25.0, rel=1e-12)
    assert asme_b31_3_wall_mm(20.0, 100.0, 20.0, y=0.0) == pytest.approx(2.0, rel=1e-12)
    assert asme_b31_3_wall_mm(25.0, 100.0, 20.0, y=1.0) == pytest.approx(2.0, rel=1e-12)


@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_limits_are_not_told_of_what_is_no_size(bad: float) -> None:
    for values in (
        (bad, 100.0, 12.0, 1.5),
        (10.0, bad, 12.0, 1.5),
        (10.0, 100.0, bad, 1.5),
        (10.0, 100.0, 12.0, bad),
        (10.0, 100.0, 12.0, 6.0),  # a solid bar
    ):
        with pytest.raises(ValueError, match=r"above 0"):
            asme_b31_3_applies(*values)
