"""Guard band, dial window and the reading never to go beyond."""

from fractions import Fraction
from math import inf, nan

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.calc.gauge import (
    Window,
    dial_window,
    gauge_overload_mpa,
    guard_mpa,
    never_exceed_mpa,
    press_uncertainty_mpa,
    usable_window,
)
from catalog.calc.press import gauge_mpa
from catalog.quantities import PA_PER_UNIT

BAR_PA, PSI_PA = PA_PER_UNIT["bar"], PA_PER_UNIT["psi"]
MPA = st.floats(0.0, 200.0)


def test_units_are_the_exact_ones() -> None:
    pound_newton = Fraction("0.45359237") * Fraction("9.80665")
    assert float(pound_newton / Fraction("0.0254") ** 2) == PSI_PA
    assert float(Fraction(8896443230521, 1290320000)) == PSI_PA
    assert BAR_PA == 100000


# formula check only
def test_guard_by_hand() -> None:
    # gauge-b: 1 % x 400 + 5 / 2 = 6.5 bar; gauge-c on press-c: .6 % x 160 + 1 / 2 + 1.1 = 2.56 bar.
    assert guard_mpa(1.0, 40.0, 0.5, 0.0) == pytest.approx(0.65, rel=1e-12)
    assert guard_mpa(0.6, 16.0, 0.1, 0.11) == pytest.approx(0.256, rel=1e-12)
    # press-c: 2 % x 27.5 kN = 0.55 kN, on 50 cm2 = 0.11 MPa; with 0.25 kN of the spring 0.16 MPa.
    assert press_uncertainty_mpa(2.0, 27.5, 0.0, 5000.0) == pytest.approx(0.11, rel=1e-12)
    assert press_uncertainty_mpa(2.0, 27.5, 0.25, 5000.0) == pytest.approx(0.16, rel=1e-12)
    assert press_uncertainty_mpa(0.0, 27.5, 0.0, 2000.0) == 0.0
    assert press_uncertainty_mpa(2.0, 0.0, 0.25, 5000.0) == pytest.approx(0.05, rel=1e-12)


def test_en_837_1_class_is_percent_of_span_at_any_point() -> None:
    # A secondary text: class 1.6 on 0-10 bar is +-0.16 bar. No graduation to speak of, no press.
    assert guard_mpa(1.6, 1.0, 1e-12, 0.0) == pytest.approx(0.016, rel=1e-9)


def test_a_window_of_no_width_is_empty() -> None:
    # 27.5 kN +- 8 %: 25.3 to 29.7 kN; press-b, 20 cm2 and 1 kN back: 131.5 to 153.5 bar.
    # gauge-a, 600 bar, class 1, graduation 10: 6 + 5 = 11 bar: 142.5 to 142.5 bar.
    low_mpa = gauge_mpa(27.5 * (1.0 - 8.0 / 100.0), 1.0, 2000.0)
    high_mpa = gauge_mpa(27.5 * (1.0 + 8.0 / 100.0), 1.0, 2000.0)
    window = dial_window(low_mpa, high_mpa, guard_mpa(1.0, 60.0, 1.0, 0.0))
    assert window == Window(low_pa=14_250_000, high_pa=14_250_000)
    assert window.is_empty
    # One pascal less of guard on either side, and there is a width.
    assert not Window(low_pa=14_250_000, high_pa=14_250_001).is_empty
    assert Window(low_pa=14_250_001, high_pa=14_250_000).is_empty


def test_float_noise_never_moves_an_end() -> None:
    # 0.1 + 0.2 is 0.30000000000000004 MPa; in whole pascals it is 300 000.
    assert dial_window(0.1, 0.5, 0.2) == Window(low_pa=300_000, high_pa=300_000)


@given(st.integers(0, 10_000), st.integers(0, 10_000), st.integers(0, 20_000))
def test_ends_on_kilopascals_are_exact(low_kpa: int, width_kpa: int, guard_kpa: int) -> None:
    high_kpa = low_kpa + width_kpa
    window = dial_window(low_kpa / 1000.0, high_kpa / 1000.0, guard_kpa / 1000.0)
    assert window.low_pa == (low_kpa + guard_kpa) * 1000
    assert window.high_pa == (high_kpa - guard_kpa) * 1000
    assert window.is_empty == (2 * guard_kpa >= width_kpa)


@given(MPA, MPA, MPA, MPA)
def test_more_guard_never_widens_a_window(a: float, b: float, guard: float, more: float) -> None:
    low_mpa, high_mpa = sorted((a, b))
    narrow = dial_window(low_mpa, high_mpa, guard + more)
    wide = dial_window(low_mpa, high_mpa, guard)
    assert wide.low_pa <= narrow.low_pa
    assert narrow.high_pa <= wide.high_pa
    assert narrow.is_empty or not wide.is_empty


def test_a_window_is_frozen_and_strict() -> None:
    window = Window(low_pa=1, high_pa=2)
    with pytest.raises(AttributeError):
        window.low_pa = 0  # type: ignore[misc]
    with pytest.raises(msgspec.ValidationError):
        msgspec.json.decode(b'{"low_pa": 1, "high_pa": 2, "extra": 3}', type=Window)


# formula check only
def test_never_exceed_of_the_demonstration_by_hand() -> None:
    # press-b, gauge-b: (34.3 + 1) kN / 20 cm2 = 176.5 bar, less 6.5 = 170 bar.
    ceiling_mpa = gauge_mpa(34.3, 1.0, 2000.0)
    assert never_exceed_mpa(0.65, 40.0, ceiling_mpa, 63.0) == pytest.approx(17.0, rel=1e-12)
    # press-a, gauge-a: (34.3 + 0.5) / 8 cm2 = 435 bar, less 11 = 424 bar.
    ceiling_mpa = gauge_mpa(34.3, 0.5, 800.0)
    assert never_exceed_mpa(1.1, 60.0, ceiling_mpa, 70.0) == pytest.approx(42.4, rel=1e-12)


@pytest.mark.parametrize(
    ("limits", "least"),
    [
        ((40.0, 63.0, 50.0, 50.0), 17.0),  # the ceiling: 17.65 - 0.65
        ((40.0, 16.65, 50.0, 50.0), 16.0),  # the press, less the guard
        ((15.0, 63.0, 50.0, 50.0), 15.0),  # the dial, which the guard does not move
        ((40.0, 63.0, 14.65, 50.0), 14.0),  # the cone, less the guard
        ((40.0, 63.0, 50.0, 13.65), 13.0),  # the plate, less the guard
        ((40.0, None, None, None), 17.0),
        ((40.0, None, None, 12.65), 12.0),
        ((40.0,), 17.0),
        ((17.3, 63.0), 17.0),  # a dial that ends between the ceiling and its guard
    ],
)
def test_never_exceed_is_the_least_limit(limits: tuple[float, ...], least: float) -> None:
    span_mpa, *guarded_mpa = limits
    got = never_exceed_mpa(0.65, span_mpa, 17.65, *guarded_mpa)
    assert got == pytest.approx(least, rel=1e-12)


def test_a_guard_above_the_ceiling_leaves_nothing() -> None:
    assert never_exceed_mpa(0.0, 40.0, 1.0, 63.0) == 1.0
    assert never_exceed_mpa(1.5, 40.0, 1.0, 63.0) == 0.0


@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_never_exceed_refuses_limits_that_are_none(bad: float) -> None:
    for values in (
        (0.65, bad, 17.65, 63.0),
        (0.65, 40.0, bad, 63.0),
        (0.65, 40.0, 17.65, bad),
        (0.65, 40.0, 17.65, 63.0, bad),
        (0.65, 40.0, 17.65, 63.0, None, bad),
    ):
        with pytest.raises(ValueError, match=r"every limit above 0 MPa"):
            never_exceed_mpa(*values)


@pytest.mark.parametrize("bad", [-0.001, inf, nan])
def test_refuses_guards_that_are_none(bad: float) -> None:
    with pytest.raises(ValueError, match=r"guard must be at least 0"):
        never_exceed_mpa(bad, 40.0, 17.65, 63.0)
    with pytest.raises(ValueError, match=r"guard at least 0"):
        dial_window(1.0, 2.0, bad)
    with pytest.raises(ValueError, match=r"at least 0"):
        guard_mpa(1.0, 40.0, 0.5, bad)
    for values in ((bad, 1.0, 0.0, 800.0), (1.0, bad, 0.0, 800.0), (1.0, 1.0, bad, 800.0)):
        with pytest.raises(ValueError, match=r"at least 0"):
            press_uncertainty_mpa(*values)


@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_refuses_gauges_that_are_none(bad: float) -> None:
    for values in ((bad, 40.0, 0.5), (1.0, bad, 0.5), (1.0, 40.0, bad)):
        with pytest.raises(ValueError, match=r"must be above 0"):
            guard_mpa(*values, 0.0)
    with pytest.raises(ValueError, match=r"ram area above 0"):
        press_uncertainty_mpa(1.0, 1.0, 0.0, bad)


@pytest.mark.parametrize("band", [(2.0, 1.0), (-1.0, 1.0), (1.0, inf), (nan, 1.0), (1.0, nan)])
def test_refuses_a_band_the_wrong_way_round(band: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"^the low reading must be"):
        dial_window(*band, 0.1)


# formula check only
def test_the_usable_window_ends_at_the_limit() -> None:
    window = Window(low_pa=13_800_000, high_pa=14_700_000)
    assert usable_window(window, 14.7) == window
    assert usable_window(window, 17.0) == window
    assert usable_window(window, 14.0).high_pa == 14_000_000
    assert usable_window(window, 13.8).is_empty
    assert usable_window(window, 14.5, 14.2).high_pa == 14_200_000
    assert usable_window(window, 14.2, 14.5).high_pa == 14_200_000
    for bad in (-0.1, inf, nan):
        with pytest.raises(ValueError, match="both limits"):
            usable_window(window, bad)
    for bad in (-0.1, nan):
        with pytest.raises(ValueError, match="both limits"):
            usable_window(window, 14.5, bad)


# From memory, as its source says: there is no published example at hand.
@pytest.mark.parametrize(
    ("span_mpa", "most_mpa"),
    [(1.0, 1.25), (10.0, 12.5), (10.1, 11.615), (40.0, 46.0), (60.0, 69.0), (60.1, 66.11)],
)
def test_overload_goes_by_the_span(span_mpa: float, most_mpa: float) -> None:
    assert gauge_overload_mpa(span_mpa) == pytest.approx(most_mpa, rel=1e-12)


@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_overload_of_no_span_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="span must be above 0"):
        gauge_overload_mpa(bad)
