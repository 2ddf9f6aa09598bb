"""Marks in the window, the mark to stop at and the gauge that would do."""

from fractions import Fraction
from math import inf, nan
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.calc.dial import (
    CLASSES_PERCENT,
    FINEST_SHARE,
    gauge_that_would_do,
    marks_in,
    stop_mark,
)
from catalog.calc.gauge import (
    Window,
    dial_window,
    guard_mpa,
    press_uncertainty_mpa,
)
from catalog.calc.press import gauge_mpa
from catalog.quantities import PA_PER_UNIT

BAR_PA, PSI_PA = PA_PER_UNIT["bar"], PA_PER_UNIT["psi"]


class Worked(NamedTuple):
    """One press with one gauge of the demonstration, and its window in the unit of the dial."""

    area_mm2: float
    return_kn: float
    friction_percent: float
    unit_pa: float
    span: float
    graduation: float
    class_percent: float
    low: float
    high: float
    marks: int
    stop_at: float | None


# 16S x 2: 27.5 kN +- 8 % = 25.3 to 29.7 kN.
WORKED = {
    # 26.3 and 30.7 kN on 20 cm2: 131.5 to 153.5 bar; guard 4 + 2.5 = 6.5; marks 140, 145.
    "press-b gauge-b": Worked(2000, 1.0, 0, BAR_PA, 400, 5, 1.0, 138.0, 147.0, 2, 140.0),
    # 25.8 and 30.2 kN on 8 cm2: 322.5 to 377.5; guard 6 + 5 = 11; marks 340, 350, 360.
    "press-a gauge-a": Worked(800, 0.5, 0, BAR_PA, 600, 10, 1.0, 333.5, 366.5, 3, 350.0),
    # 27.8 and 32.2 kN on 50 cm2: 55.6 to 64.4; guard 0.96 + 0.5 + 1.1 = 2.56; marks 59, 60, 61.
    "press-c gauge-c": Worked(5000, 2.5, 2, BAR_PA, 160, 1, 0.6, 58.16, 61.84, 3, 60.0),
    # 13.15 and 15.35 MPa / 6894.757 Pa: 1907.25 to 2226.33 psi; guard 60 + 25 = 85: 1992.25 to
    # 2141.33; marks 2000, 2050, 2100; nominal 14.25 MPa = 2066.79 psi, so 2050.
    "press-b gauge-psi": Worked(2000, 1.0, 0, PSI_PA, 6000, 50, 1.0, 1992.25, 2141.33, 3, 2050.0),
    # guard 6 + 5 = 11 on 131.5 to 153.5: a point at 142.5.
    "press-b gauge-a": Worked(2000, 1.0, 0, BAR_PA, 600, 10, 1.0, 142.5, 142.5, 0, None),
}


# formula check only
@pytest.mark.parametrize("pair", WORKED)
def test_worked_windows_of_the_demonstration(pair: str) -> None:
    case = WORKED[pair]
    low_mpa = gauge_mpa(27.5 * 0.92, case.return_kn, case.area_mm2)
    high_mpa = gauge_mpa(27.5 * 1.08, case.return_kn, case.area_mm2)
    nominal_mpa = gauge_mpa(27.5, case.return_kn, case.area_mm2)
    press_mpa = press_uncertainty_mpa(case.friction_percent, 27.5, 0.0, case.area_mm2)
    mpa = case.unit_pa * 1e-6
    guard = guard_mpa(case.class_percent, case.span * mpa, case.graduation * mpa, press_mpa)
    window = dial_window(low_mpa, high_mpa, guard)

    assert window.low_pa / case.unit_pa == pytest.approx(case.low, abs=0.005)
    assert window.high_pa / case.unit_pa == pytest.approx(case.high, abs=0.005)
    assert window.is_empty == (case.low == case.high)
    assert marks_in(window, case.graduation, case.unit_pa, case.span) == case.marks
    stop = stop_mark(window, nominal_mpa, case.graduation, case.unit_pa, case.span)
    assert stop == case.stop_at


def test_press_b_wants_another_gauge_than_gauge_a() -> None:
    # Half band 11 bar on a span of 600: class 4 takes 24, 2.5 takes 15, 1.6 takes 9.6 and leaves
    # 1.4, for which the graduation 1 is finer than 600 / 500 = 1.2; class 1 leaves 5.
    assert gauge_that_would_do(1.1, 0.0, 600.0, BAR_PA) == (1.0, 5.0)
    # That gauge: guard 6 + 2.5 = 8.5, window 140 to 145, and both its ends are marks.
    window = dial_window(13.15, 15.35, guard_mpa(1.0, 60.0, 0.5, 0.0))
    assert window == Window(low_pa=14_000_000, high_pa=14_500_000)
    assert marks_in(window, 5.0, BAR_PA) == 2
    assert stop_mark(window, 14.25, 5.0, BAR_PA) == 140.0


def test_marks_exactly_on_the_ends_count() -> None:
    window = Window(low_pa=14_000_000, high_pa=15_000_000)
    assert marks_in(window, 5.0, BAR_PA) == 3
    assert marks_in(Window(low_pa=14_000_001, high_pa=14_999_999), 5.0, BAR_PA) == 1
    assert marks_in(Window(low_pa=14_000_001, high_pa=14_499_999), 5.0, BAR_PA) == 0
    assert stop_mark(Window(low_pa=14_000_001, high_pa=14_499_999), 14.25, 5.0, BAR_PA) is None


def test_a_window_of_no_width_has_no_mark_even_on_a_mark() -> None:
    window = Window(low_pa=14_000_000, high_pa=14_000_000)
    assert marks_in(window, 5.0, BAR_PA) == 0
    assert stop_mark(window, 14.0, 5.0, BAR_PA) is None


@pytest.mark.parametrize(
    ("nominal_mpa", "stop"),
    [
        (14.25, 140.0),  # between marks: the one below
        (14.5, 145.0),  # on a mark
        (14.4999999, 145.0),  # 0.1 Pa below it: the same whole pascal
        (14.499999, 140.0),  # 1 Pa below it
        (20.0, 150.0),  # above the window: its highest mark
        (10.0, 140.0),  # below the window: its lowest mark
        (13.9, 140.0),
    ],
)
def test_stop_at_or_below_nominal_else_at_the_lowest(nominal_mpa: float, stop: float) -> None:
    window = Window(low_pa=13_800_000, high_pa=15_200_000)
    assert stop_mark(window, nominal_mpa, 5.0, BAR_PA) == stop


def test_a_mark_reads_clean() -> None:
    window = Window(low_pa=29_000, high_pa=31_000)
    assert 3 * 0.1 != 0.3
    assert stop_mark(window, 0.03, 0.1, BAR_PA) == 0.3


def test_no_mark_stands_beyond_the_span_or_at_zero() -> None:
    window = Window(low_pa=39_000_000, high_pa=42_000_000)
    assert marks_in(window, 5.0, BAR_PA, 400.0) == 3  # 390, 395, 400
    assert stop_mark(window, 41.5, 5.0, BAR_PA, 400.0) == 400.0
    beyond = Window(low_pa=40_000_001, high_pa=45_000_000)
    assert marks_in(beyond, 5.0, BAR_PA, 400.0) == 0
    assert stop_mark(beyond, 42.0, 5.0, BAR_PA, 400.0) is None
    assert marks_in(beyond, 5.0, BAR_PA) == 10  # 405 ... 450 on a dial without an end
    assert marks_in(Window(low_pa=-100, high_pa=500_000), 5.0, BAR_PA) == 1


def exact_marks(window: Window, graduation: float, unit_pa: float) -> list[int]:
    """Return the numbers of the marks inside, counted one by one in exact arithmetic."""
    step = Fraction(repr(graduation)) * Fraction(repr(unit_pa))
    return [
        number
        for number in range(max(1, int(window.low_pa / step) - 2), int(window.high_pa / step) + 2)
        if window.low_pa <= round(number * step) <= window.high_pa
    ]


@given(
    st.integers(0, 70_000_000),
    st.integers(1, 500_000),
    st.sampled_from([0.1, 0.2, 0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 50.0]),
    st.sampled_from([BAR_PA, PSI_PA, 1e6]),
)
def test_marks_agree_with_a_count_in_exact_arithmetic(
    low_pa: int, width_pa: int, graduation: float, unit_pa: float
) -> None:
    window = Window(low_pa=low_pa, high_pa=low_pa + width_pa)
    assert marks_in(window, graduation, unit_pa) == len(exact_marks(window, graduation, unit_pa))


@given(
    st.integers(1, 3000),
    st.integers(1, 50),
    st.sampled_from([0.1, 0.2, 0.5, 1.0, 2.5, 5.0, 10.0, 50.0]),
    st.sampled_from([BAR_PA, PSI_PA, 1e6]),
)
def test_no_float_slips_a_mark_off_the_end_of_its_window(
    first: int, more: int, graduation: float, unit_pa: float
) -> None:
    # A window from mark to mark, as a band without guard would give it.
    mpa = unit_pa * 1e-6
    low_mpa, high_mpa = first * graduation * mpa, (first + more) * graduation * mpa
    window = dial_window(low_mpa, high_mpa, 0.0)
    assert marks_in(window, graduation, unit_pa) == more + 1
    assert stop_mark(window, high_mpa, graduation, unit_pa) == pytest.approx(
        (first + more) * graduation, rel=1e-12
    )
    assert stop_mark(window, low_mpa, graduation, unit_pa) == pytest.approx(
        first * graduation, rel=1e-12
    )


@given(
    st.integers(0, 60_000_000),
    st.integers(-1000, 5_000_000),
    st.floats(0.001, 80.0),
    st.sampled_from([0.1, 0.5, 1.0, 5.0, 10.0, 50.0]),
    st.sampled_from([BAR_PA, PSI_PA]),
    st.sampled_from([60.0, 400.0, 6000.0, inf]),
)
def test_the_stop_mark_is_a_mark_in_the_window(
    low_pa: int, width_pa: int, nominal_mpa: float, graduation: float, unit_pa: float, span: float
) -> None:
    window = Window(low_pa=low_pa, high_pa=low_pa + width_pa)
    stop = stop_mark(window, nominal_mpa, graduation, unit_pa, span)
    marks = marks_in(window, graduation, unit_pa, span)
    assert (stop is None) == (marks == 0)
    if stop is None:
        return
    assert not window.is_empty
    number = round(stop / graduation)
    assert stop == pytest.approx(number * graduation, rel=1e-12)
    position_pa = round(Fraction(repr(stop)) * Fraction(repr(unit_pa)))
    assert window.low_pa <= position_pa <= window.high_pa
    assert stop <= span
    # Above nominal only where the window has no mark at or below it.
    if position_pa > round(nominal_mpa * 1e6):
        assert window.low_pa > round((number - 1) * graduation * unit_pa) or number == 1


READABLE = st.sampled_from([(BAR_PA, 60.0), (BAR_PA, 400.0), (BAR_PA, 600.0), (PSI_PA, 6000.0)])


@given(st.floats(0.05, 1.0), st.floats(0.0001, 0.2), st.floats(0.0, 0.05), READABLE)
def test_the_gauge_that_would_do_has_a_mark_in_its_window(
    share: float, tolerance: float, press_share: float, dial: tuple[float, float]
) -> None:
    unit_pa, span = dial
    mpa = unit_pa * 1e-6
    nominal_mpa = share * span * mpa
    half_mpa, press_mpa = tolerance * nominal_mpa, press_share * nominal_mpa
    choice = gauge_that_would_do(half_mpa, press_mpa, span, unit_pa)
    if choice is None:
        # Nothing is left after the finest class, or less than the finest step that can be read;
        # no step of the 1-2-5 ladder is further than 2.5 times from the next.
        left = half_mpa - press_mpa - CLASSES_PERCENT[-1] / 100.0 * span * mpa
        assert left < 2.5 * span * mpa / FINEST_SHARE
        return
    class_percent, graduation = choice
    assert class_percent in CLASSES_PERCENT
    assert graduation >= span / FINEST_SHARE
    guard = guard_mpa(class_percent, span * mpa, graduation * mpa, press_mpa)
    window = dial_window(nominal_mpa - half_mpa, nominal_mpa + half_mpa, guard)
    assert marks_in(window, graduation, unit_pa) >= 1


@given(st.floats(0.0, 5.0), st.floats(0.0, 1.0), READABLE)
def test_no_coarser_gauge_keeps_the_promise(
    half_mpa: float, press_mpa: float, dial: tuple[float, float]
) -> None:
    unit_pa, span = dial
    choice = gauge_that_would_do(half_mpa, press_mpa, span, unit_pa)
    # By brute force over every class and every readable step of the ladder.
    ladder = [
        Fraction(digit) * Fraction(10) ** power for power in range(-3, 5) for digit in (1, 2, 5)
    ]
    free_pa = (Fraction(half_mpa) - Fraction(press_mpa)) * 10**6
    fits = [
        (class_percent, float(step))
        for class_percent in CLASSES_PERCENT
        for step in ladder
        if Fraction(span) / FINEST_SHARE <= step <= span
        and step * Fraction(unit_pa)
        <= free_pa
        - Fraction(repr(class_percent)) / 100 * Fraction(span) * Fraction(unit_pa)
        + Fraction(1, 1000)  # the formula compares whole millipascals
    ]
    assert choice == (max(fits) if fits else None)


def test_gauges_that_fit_exactly_are_taken() -> None:
    # 400 bar: 8 bar half band: class 1.6 takes 6.4 and leaves 1.6: graduation 1 >= 0.8.
    assert gauge_that_would_do(0.8, 0.0, 400.0, BAR_PA) == (1.6, 1.0)
    # class 1.6 leaves exactly 2 with a half band of 8.4; 0.84 - 0.64 in floats is below 0.2.
    assert 0.84 - 0.64 < 0.2
    assert gauge_that_would_do(0.84, 0.0, 400.0, BAR_PA) == (1.6, 2.0)
    # 1 mbar less does not leave it, and the next step down is 1.
    assert gauge_that_would_do(0.8399, 0.0, 400.0, BAR_PA) == (1.6, 1.0)
    # 500 bar: graduation 1 is just the finest that can be read; class 4 takes 20 and leaves 1.5.
    assert gauge_that_would_do(2.15, 0.0, 500.0, BAR_PA) == (4.0, 1.0)
    # The press takes its share: 8.4 - 4.4 leaves 4; class 1 takes 4 and leaves nothing; 0.6: 1.6.
    assert gauge_that_would_do(0.84, 0.44, 400.0, BAR_PA) == (0.6, 1.0)


def test_none_would_do() -> None:
    assert gauge_that_would_do(0.0, 0.0, 400.0, BAR_PA) is None
    assert gauge_that_would_do(0.1, 0.2, 400.0, BAR_PA) is None
    # Class 0.1 of 400 bar is 0.4 bar; 0.5 bar are left, a step that a span of 400 cannot show.
    assert gauge_that_would_do(0.09, 0.0, 400.0, BAR_PA) is None


@pytest.mark.parametrize("bad", [0.0, -1.0, inf, nan])
def test_refuses_a_dial_that_is_none(bad: float) -> None:
    window = Window(low_pa=13_800_000, high_pa=14_700_000)
    for graduation, unit_pa in ((bad, BAR_PA), (5.0, bad)):
        with pytest.raises(ValueError, match=r"must be above 0"):
            marks_in(window, graduation, unit_pa)
        with pytest.raises(ValueError, match=r"must be above 0"):
            stop_mark(window, 14.25, graduation, unit_pa)
    with pytest.raises(ValueError, match=r"must be above 0"):
        stop_mark(window, bad, 5.0, BAR_PA)
    for span, unit_pa in ((bad, BAR_PA), (400.0, bad)):
        with pytest.raises(ValueError, match=r"above 0"):
            gauge_that_would_do(1.0, 0.0, span, unit_pa)


@pytest.mark.parametrize("bad", [-0.001, inf, nan])
def test_refuses_bands_that_are_none(bad: float) -> None:
    for values in ((bad, 0.0), (1.0, bad)):
        with pytest.raises(ValueError, match=r"at least 0 MPa"):
            gauge_that_would_do(*values, 400.0, BAR_PA)


def test_refuses_a_step_below_a_pascal_and_a_span_of_nothing() -> None:
    window = Window(low_pa=13_800_000, high_pa=14_700_000)
    with pytest.raises(ValueError, match=r"at least 1 Pa"):
        marks_in(window, 0.9e-5, BAR_PA)
    assert marks_in(Window(low_pa=1, high_pa=10), 1.0, 1.0) == 10
    for span in (0.0, -1.0, nan):
        with pytest.raises(ValueError, match=r"span must be above 0"):
            marks_in(window, 5.0, BAR_PA, span)
