"""Force band, gauge reading, force, oil and pump strokes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.formulas.press import (
    gauge_reading,
    greatest_force,
    least_force,
    oil_volume,
    press_force,
    pump_strokes,
)


# formula check only
def test_force_band_by_hand() -> None:
    # 27.5 kN +- 8 %: 2.2 kN to both sides.
    assert least_force(F=27.5, tolerance=8.0) == pytest.approx(25.3, rel=1e-12)
    assert greatest_force(F=27.5, tolerance=8.0) == pytest.approx(29.7, rel=1e-12)
    assert least_force(F=27.5, tolerance=0.0) == greatest_force(F=27.5, tolerance=0.0) == 27.5


# formula check only
def test_readings_of_the_demonstration_presses_by_hand() -> None:
    # 16S x 2, 27.5 kN. press-a: 28 kN / 8 cm2 = 28000 N / 800 mm2 = 35 MPa = 350 bar.
    assert gauge_reading(F=27.5, F_return=0.5, A=800.0) == pytest.approx(35.0, rel=1e-14)
    # press-b: 28.5 kN / 20 cm2 = 14.25 MPa. press-c: 30 kN / 50 cm2 = 6 MPa.
    assert gauge_reading(F=27.5, F_return=1.0, A=2000.0) == pytest.approx(14.25, rel=1e-14)
    assert gauge_reading(F=27.5, F_return=2.5, A=5000.0) == pytest.approx(6.0, rel=1e-14)


# formula check only
def test_force_by_the_rule_of_the_bench() -> None:
    # F[kN] = p[bar] A[cm2] / 100: 142.5 x 20 / 100 = 28.5, less 1 kN for the spring.
    assert press_force(p=14.25, F_return=1.0, A=2000.0) == pytest.approx(27.5, rel=1e-14)


def test_below_the_return_force_the_ram_does_not_push() -> None:
    assert press_force(p=0.5, F_return=1.0, A=2000.0) == 0.0  # 1 kN: just held
    assert press_force(p=0.0, F_return=1.0, A=2000.0) == 0.0
    assert press_force(p=0.501, F_return=1.0, A=2000.0) == pytest.approx(0.002, rel=1e-9)


@given(st.floats(0.0, 500.0), st.floats(0.0, 10.0), st.floats(100.0, 20000.0))
def test_the_force_of_a_reading_is_the_force(force: float, spring: float, area: float) -> None:
    reading = gauge_reading(F=force, F_return=spring, A=area)
    back = press_force(p=reading, F_return=spring, A=area)
    assert back == pytest.approx(force, rel=1e-9, abs=1e-9)


# formula check only
def test_oil_and_strokes_by_hand() -> None:
    # press-b: 20 cm2 x 30 mm = 2000 x 30 = 60 000 mm3 = 60 cm3; 30 full or 200 fine strokes.
    assert oil_volume(A=2000.0, s=30.0) == 60000.0
    assert pump_strokes(V=60000.0, V_pump=2000.0) == 30
    assert pump_strokes(V=60000.0, V_pump=300.0) == 200
    assert pump_strokes(V=60001.0, V_pump=300.0) == 201
    assert pump_strokes(V=1.0, V_pump=2000.0) == 1
    assert pump_strokes(V=1e-9, V_pump=2000.0) == 1, "no oil is moved without a stroke"


@given(st.integers(1, 10_000), st.integers(1, 1000))
def test_float_noise_is_not_one_more_stroke(strokes: int, tenths: int) -> None:
    # Displacements come in tenths of a cubic centimetre: 0.1 cm3 x 1000 is not exactly 100 mm3.
    displacement = 0.1 * tenths * 1000.0
    total = sum([displacement] * min(strokes, 200))
    assert pump_strokes(V=total, V_pump=displacement) == min(strokes, 200)
    assert pump_strokes(V=strokes * tenths * 100.0, V_pump=displacement) == strokes
