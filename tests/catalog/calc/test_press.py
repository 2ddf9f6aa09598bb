"""Gauge reading, force, oil and pump strokes."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.calc.press import force_band_kn, force_kn, gauge_mpa, oil_volume_mm3, pump_strokes


# formula check only
def test_readings_of_the_demonstration_presses_by_hand() -> None:
    # 16S x 2, 27.5 kN. press-a: 28 kN / 8 cm2 = 28000 N / 800 mm2 = 35 MPa = 350 bar.
    assert gauge_mpa(27.5, 0.5, 800.0) == pytest.approx(35.0, rel=1e-14)
    # press-b: 28.5 kN / 20 cm2 = 14.25 MPa. press-c: 30 kN / 50 cm2 = 6 MPa.
    assert gauge_mpa(27.5, 1.0, 2000.0) == pytest.approx(14.25, rel=1e-14)
    assert gauge_mpa(27.5, 2.5, 5000.0) == pytest.approx(6.0, rel=1e-14)


# formula check only
def test_force_by_the_rule_of_the_bench() -> None:
    # F[kN] = p[bar] A[cm2] / 100: 142.5 x 20 / 100 = 28.5, less 1 kN for the spring.
    assert force_kn(14.25, 1.0, 2000.0) == pytest.approx(27.5, rel=1e-14)


def test_below_the_return_force_the_ram_does_not_push() -> None:
    assert force_kn(0.5, 1.0, 2000.0) == 0.0  # 1 kN: just held
    assert force_kn(0.0, 1.0, 2000.0) == 0.0
    assert force_kn(0.501, 1.0, 2000.0) == pytest.approx(0.002, rel=1e-9)


@given(st.floats(0.0, 500.0), st.floats(0.0, 10.0), st.floats(100.0, 20000.0))
def test_the_force_of_a_reading_is_the_force(force: float, spring: float, area: float) -> None:
    assert force_kn(gauge_mpa(force, spring, area), spring, area) == pytest.approx(
        force, rel=1e-9, abs=1e-9
    )


# formula check only
def test_oil_and_strokes_by_hand() -> None:
    # press-b: 20 cm2 x 30 mm = 2000 x 30 = 60 000 mm3 = 60 cm3; 30 full or 200 fine strokes.
    assert oil_volume_mm3(2000.0, 30.0) == 60000.0
    assert pump_strokes(60000.0, 2000.0) == 30
    assert pump_strokes(60000.0, 300.0) == 200
    assert pump_strokes(60001.0, 300.0) == 201
    assert pump_strokes(1.0, 2000.0) == 1
    assert pump_strokes(1e-9, 2000.0) == 1, "no oil is moved without a stroke"


@given(st.integers(1, 10_000), st.integers(1, 1000))
def test_float_noise_is_not_one_more_stroke(strokes: int, tenths: int) -> None:
    # Displacements come in tenths of a cubic centimetre: 0.1 cm3 x 1000 is not exactly 100 mm3.
    displacement_mm3 = 0.1 * tenths * 1000.0
    total_mm3 = sum([displacement_mm3] * min(strokes, 200))
    assert pump_strokes(total_mm3, displacement_mm3) == min(strokes, 200)
    assert pump_strokes(strokes * tenths * 100.0, displacement_mm3) == strokes


@pytest.mark.parametrize("bad", [-0.001, inf, nan])
def test_refuses_forces_and_readings_that_are_none(bad: float) -> None:
    for convert in (gauge_mpa, force_kn):
        for values in ((bad, 1.0, 2000.0), (10.0, bad, 2000.0), (10.0, 1.0, bad)):
            with pytest.raises(ValueError, match=r"must be at least 0"):
                convert(*values)
    for convert in (gauge_mpa, force_kn):
        with pytest.raises(ValueError, match=r"ram area above 0 mm2"):
            convert(10.0, 1.0, 0.0)


@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_refuses_oil_that_is_none(bad: float) -> None:
    for values in ((bad, 30.0), (30.0, bad)):
        with pytest.raises(ValueError, match=r"must be above 0"):
            oil_volume_mm3(*values)
        with pytest.raises(ValueError, match=r"must be above 0 mm3"):
            pump_strokes(*values)


# formula check only
def test_force_band_by_hand() -> None:
    # 27.5 kN +- 8 %: 2.2 kN to both sides.
    assert force_band_kn(27.5, 8.0) == pytest.approx((25.3, 29.7), rel=1e-12)
    assert force_band_kn(27.5, 0.0) == (27.5, 27.5)
    assert force_band_kn(0.0, 8.0) == (0.0, 0.0)


@pytest.mark.parametrize(
    "values", [(-1.0, 8.0), (inf, 8.0), (nan, 8.0), (27.5, -0.1), (27.5, 100.0), (27.5, nan)]
)
def test_refuses_a_band_that_is_none(values: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"tolerance from 0 to below 100 %"):
        force_band_kn(*values)
