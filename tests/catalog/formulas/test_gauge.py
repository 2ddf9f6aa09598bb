"""Guard band, dial window, never exceed, marks, the mark to stop at, the gauge that would do."""

from fractions import Fraction
from math import inf
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.formulas.gauge import (
    CLASSES_PERCENT,
    FINEST_SHARE,
    gauge_overload,
    gauge_that_would_do,
    guard_band,
    marks_in,
    never_exceed,
    pascals,
    press_uncertainty,
    stop_mark,
    usable_high,
    window_high,
    window_low,
)
from catalog.formulas.press import gauge_reading
from catalog.quantities import FACTOR

BAR, PSI = FACTOR["bar"], FACTOR["psi"]
MPA = st.floats(0.0, 200.0)


def test_units_are_the_exact_ones() -> None:
    pound_newton = Fraction("0.45359237") * Fraction("9.80665")
    assert float(pound_newton / Fraction("0.0254") ** 2 / 10**6) == PSI
    assert float(Fraction(8896443230521, 1290320000) / 10**6) == PSI
    assert BAR == 0.1


# formula check only
def test_guard_by_hand() -> None:
    # gauge-b: 1 % x 400 + 5 / 2 = 6.5 bar; gauge-c on press-c: .6 % x 160 + 1 / 2 + 1.1 = 2.56 bar.
    assert guard_band(class_=1.0, span=40.0, graduation=0.5, u_press=0.0) == pytest.approx(0.65)
    assert guard_band(class_=0.6, span=16.0, graduation=0.1, u_press=0.11) == pytest.approx(0.256)


# formula check only
@pytest.mark.parametrize(
    ("friction", "force", "spring", "area", "mpa"),
    [
        # press-c: 2 % x 27.5 kN = 0.55 kN, on 50 cm2 = 0.11 MPa; with 0.25 kN of the spring 0.16.
        (2.0, 27.5, 0.0, 5000.0, 0.11),
        (2.0, 27.5, 0.25, 5000.0, 0.16),
        (0.0, 27.5, 0.0, 2000.0, 0.0),
        (2.0, 0.0, 0.25, 5000.0, 0.05),
    ],
)
def test_uncertainty_of_the_press_by_hand(
    friction: float, force: float, spring: float, area: float, mpa: float
) -> None:
    unsure = press_uncertainty(f=friction, F=force, dF_return=spring, A=area)
    assert unsure == pytest.approx(mpa, rel=1e-12)


def test_en_837_1_class_is_percent_of_span_at_any_point() -> None:
    # A secondary text: class 1.6 on 0-10 bar is +-0.16 bar. No graduation to speak of, no press.
    guard = guard_band(class_=1.6, span=1.0, graduation=1e-12, u_press=0.0)
    assert guard == pytest.approx(0.016, rel=1e-9)


def test_float_noise_never_moves_an_end() -> None:
    # 0.1 + 0.2 is 0.30000000000000004 MPa; in whole pascals it is 300 000.
    assert window_low(p_low=0.1, g=0.2) == window_high(p_high=0.5, g=0.2) == 0.3


@given(st.integers(0, 10_000), st.integers(0, 10_000), st.integers(0, 20_000))
def test_ends_on_kilopascals_are_exact(low_kpa: int, width_kpa: int, guard_kpa: int) -> None:
    high_kpa = low_kpa + width_kpa
    guard = guard_kpa / 1000.0
    low = window_low(p_low=low_kpa / 1000.0, g=guard)
    assert pascals(low) == (low_kpa + guard_kpa) * 1000
    high = window_high(p_high=high_kpa / 1000.0, g=guard)
    assert pascals(high) == (high_kpa - guard_kpa) * 1000


@given(MPA, MPA, MPA)
def test_more_guard_never_widens_a_window(end: float, guard: float, more: float) -> None:
    assert window_low(p_low=end, g=guard) <= window_low(p_low=end, g=guard + more)
    assert window_high(p_high=end, g=guard + more) <= window_high(p_high=end, g=guard)


# formula check only
def test_never_exceed_of_the_demonstration_by_hand() -> None:
    # press-b, gauge-b: (34.3 + 1) kN / 20 cm2 = 176.5 bar, less 6.5 = 170 bar.
    ceiling = gauge_reading(F=34.3, F_return=1.0, A=2000.0)
    limit = never_exceed(p_ceiling=ceiling, g=0.65, p_press=63.0, p_span=40.0)
    assert limit == pytest.approx(17.0, rel=1e-12)
    # press-a, gauge-a: (34.3 + 0.5) / 8 cm2 = 435 bar, less 11 = 424 bar.
    ceiling = gauge_reading(F=34.3, F_return=0.5, A=800.0)
    limit = never_exceed(p_ceiling=ceiling, g=1.1, p_press=70.0, p_span=60.0)
    assert limit == pytest.approx(42.4, rel=1e-12)


@pytest.mark.parametrize(
    ("span", "press", "tooling", "least"),
    [
        (40.0, 63.0, 50.0, 17.0),  # the ceiling: 17.65 - 0.65
        (40.0, 16.65, 50.0, 16.0),  # the press, less the guard
        (15.0, 63.0, 50.0, 15.0),  # the dial, which the guard does not move
        (40.0, 63.0, 14.65, 14.0),  # the tooling, less the guard
        (40.0, 63.0, inf, 17.0),
        (17.3, 63.0, 50.0, 17.0),  # a dial that ends between the ceiling and its guard
    ],
)
def test_never_exceed_is_the_least_limit(
    span: float, press: float, tooling: float, least: float
) -> None:
    got = never_exceed(p_ceiling=17.65, g=0.65, p_press=press, p_span=span, p_tooling=tooling)
    assert got == pytest.approx(least, rel=1e-12)


def test_a_guard_above_the_ceiling_leaves_nothing() -> None:
    assert never_exceed(p_ceiling=1.0, g=0.0, p_press=63.0, p_span=40.0) == 1.0
    assert never_exceed(p_ceiling=1.0, g=1.5, p_press=63.0, p_span=40.0) == 0.0


# formula check only
@pytest.mark.parametrize(
    ("limit", "relief", "high"),
    [(14.7, inf, 14.7), (17.0, 70.0, 14.7), (14.0, 70.0, 14.0), (14.5, 14.2, 14.2)],
)
def test_the_usable_window_ends_at_the_lower_limit(
    limit: float, relief: float, high: float
) -> None:
    assert usable_high(p_high=14.7, p_max=limit, p_relief=relief) == high
    assert usable_high(p_high=14.7, p_max=relief, p_relief=limit) == high


# From memory, as its source says: there is no published example at hand.
@pytest.mark.parametrize(
    ("span", "most"),
    [(1.0, 1.25), (10.0, 12.5), (10.1, 11.615), (40.0, 46.0), (60.0, 69.0), (60.1, 66.11)],
)
def test_overload_goes_by_the_span(span: float, most: float) -> None:
    assert gauge_overload(span=span) == pytest.approx(most, rel=1e-12)


class Worked(NamedTuple):
    """One press with one gauge of the demonstration, and its window in the unit of the dial."""

    area_mm2: float
    return_kn: float
    friction_percent: float
    unit_mpa: float
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
    "press-b gauge-b": Worked(2000, 1.0, 0, BAR, 400, 5, 1.0, 138.0, 147.0, 2, 140.0),
    # 25.8 and 30.2 kN on 8 cm2: 322.5 to 377.5; guard 6 + 5 = 11; marks 340, 350, 360.
    "press-a gauge-a": Worked(800, 0.5, 0, BAR, 600, 10, 1.0, 333.5, 366.5, 3, 350.0),
    # 27.8 and 32.2 kN on 50 cm2: 55.6 to 64.4; guard 0.96 + 0.5 + 1.1 = 2.56; marks 59, 60, 61.
    "press-c gauge-c": Worked(5000, 2.5, 2, BAR, 160, 1, 0.6, 58.16, 61.84, 3, 60.0),
    # 13.15 and 15.35 MPa / 6894.757 Pa: 1907.25 to 2226.33 psi; guard 60 + 25 = 85: 1992.25 to
    # 2141.33; marks 2000, 2050, 2100; nominal 14.25 MPa = 2066.79 psi, so 2050.
    "press-b gauge-psi": Worked(2000, 1.0, 0, PSI, 6000, 50, 1.0, 1992.25, 2141.33, 3, 2050.0),
    # guard 6 + 5 = 11 on 131.5 to 153.5: a point at 142.5, of no width and so empty.
    "press-b gauge-a": Worked(2000, 1.0, 0, BAR, 600, 10, 1.0, 142.5, 142.5, 0, None),
}


# formula check only
@pytest.mark.parametrize("pair", WORKED)
def test_worked_windows_of_the_demonstration(pair: str) -> None:
    case = WORKED[pair]
    least, nominal, greatest = (
        gauge_reading(F=27.5 * share, F_return=case.return_kn, A=case.area_mm2)
        for share in (0.92, 1.0, 1.08)
    )
    guard = guard_band(
        class_=case.class_percent,
        span=case.span * case.unit_mpa,
        graduation=case.graduation * case.unit_mpa,
        u_press=press_uncertainty(f=case.friction_percent, F=27.5, dF_return=0.0, A=case.area_mm2),
    )
    low, high = window_low(p_low=least, g=guard), window_high(p_high=greatest, g=guard)
    assert low / case.unit_mpa == pytest.approx(case.low, abs=0.005)
    assert high / case.unit_mpa == pytest.approx(case.high, abs=0.005)
    step = case.graduation * case.unit_mpa
    assert marks_in(p_low=low, p_high=high, graduation=step) == case.marks
    if case.stop_at is not None:
        stop = stop_mark(p_low=low, p_high=high, graduation=step, p=nominal)
        assert stop / case.unit_mpa == pytest.approx(case.stop_at, rel=1e-12)


def _marks_bar(low_pa: int, high_pa: int) -> float:
    return marks_in(p_low=low_pa / 1e6, p_high=high_pa / 1e6, graduation=0.5)


def test_press_b_wants_another_gauge_than_gauge_a() -> None:
    # Half band 11 bar on a span of 600: class 4 takes 24, 2.5 takes 15, 1.6 takes 9.6 and leaves
    # 1.4, for which the graduation 1 is finer than 600 / 500 = 1.2; class 1 leaves 5.
    assert gauge_that_would_do(1.1, 0.0, 600.0, BAR) == (1.0, 5.0)
    # That gauge: guard 6 + 2.5 = 8.5, window 140 to 145, and both its ends are marks.
    guard = guard_band(class_=1.0, span=60.0, graduation=0.5, u_press=0.0)
    low, high = window_low(p_low=13.15, g=guard), window_high(p_high=15.35, g=guard)
    assert (low, high) == (14.0, 14.5)
    assert marks_in(p_low=low, p_high=high, graduation=0.5) == 2
    assert stop_mark(p_low=low, p_high=high, graduation=0.5, p=14.25) == 14.0


def test_marks_exactly_on_the_ends_count() -> None:
    assert _marks_bar(14_000_000, 15_000_000) == 3
    assert _marks_bar(14_000_001, 14_999_999) == 1
    assert _marks_bar(14_000_001, 14_499_999) == 0
    assert _marks_bar(-100, 500_000) == 1, "the zero of a dial is no mark to press to"


def test_a_window_of_no_width_has_no_mark_even_on_a_mark() -> None:
    assert _marks_bar(14_000_000, 14_000_000) == 0
    assert _marks_bar(14_000_000, 13_000_000) == 0


@pytest.mark.parametrize(
    ("nominal", "stop_bar"),
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
def test_stop_at_or_below_nominal_else_at_the_lowest(nominal: float, stop_bar: float) -> None:
    stop = stop_mark(p_low=13.8, p_high=15.2, graduation=0.5, p=nominal)
    assert stop / BAR == pytest.approx(stop_bar, rel=1e-12)


GRADUATION = st.sampled_from([0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0])
UNIT = st.sampled_from([BAR, PSI, 1.0])


def exact_marks(low_pa: int, high_pa: int, graduation: float, unit_mpa: float) -> list[int]:
    """Return the numbers of the marks inside, counted one by one in exact arithmetic."""
    step = Fraction(repr(graduation)) * Fraction(repr(unit_mpa)) * 10**6
    return [
        number
        for number in range(max(1, int(low_pa / step) - 2), int(high_pa / step) + 2)
        if low_pa <= round(number * step) <= high_pa
    ]


@given(st.integers(0, 70_000_000), st.integers(1, 500_000), GRADUATION, UNIT, st.floats(0.01, 80.0))
def test_marks_agree_with_a_count_in_exact_arithmetic(
    low_pa: int, width_pa: int, graduation: float, unit_mpa: float, nominal: float
) -> None:
    marks = exact_marks(low_pa, low_pa + width_pa, graduation, unit_mpa)
    low, high, step = low_pa / 1e6, (low_pa + width_pa) / 1e6, graduation * unit_mpa
    assert marks_in(p_low=low, p_high=high, graduation=step) == len(marks)
    if not marks:
        return
    exact = Fraction(repr(graduation)) * Fraction(repr(unit_mpa)) * 10**6
    below = [number for number in marks if round(number * exact) <= pascals(nominal)]
    stop = stop_mark(p_low=low, p_high=high, graduation=step, p=nominal)
    assert stop / step == pytest.approx(max(below, default=marks[0]), rel=1e-9)


@given(st.integers(1, 3000), st.integers(1, 50), GRADUATION, UNIT)
def test_no_float_slips_a_mark_off_the_end_of_its_window(
    first: int, more: int, graduation: float, unit_mpa: float
) -> None:
    # A window from mark to mark, as a band without guard would give it.
    step = graduation * unit_mpa
    low = window_low(p_low=first * graduation * unit_mpa, g=0.0)
    high = window_high(p_high=(first + more) * graduation * unit_mpa, g=0.0)
    assert marks_in(p_low=low, p_high=high, graduation=step) == more + 1
    for nominal, mark in ((high, first + more), (low, first)):
        stop = stop_mark(p_low=low, p_high=high, graduation=step, p=nominal)
        assert stop == pytest.approx(mark * step, rel=1e-12)


READABLE = st.sampled_from([(BAR, 60.0), (BAR, 400.0), (BAR, 600.0), (PSI, 6000.0)])


@given(st.floats(0.05, 1.0), st.floats(0.0001, 0.2), st.floats(0.0, 0.05), READABLE)
def test_the_gauge_that_would_do_has_a_mark_in_its_window(
    share: float, tolerance: float, press_share: float, dial: tuple[float, float]
) -> None:
    unit_mpa, span = dial
    nominal = share * span * unit_mpa
    half, press = tolerance * nominal, press_share * nominal
    choice = gauge_that_would_do(half, press, span, unit_mpa)
    if choice is None:
        # Nothing is left after the finest class, or less than the finest step that can be read;
        # no step of the 1-2-5 ladder is further than 2.5 times from the next.
        left = half - press - CLASSES_PERCENT[-1] / 100.0 * span * unit_mpa
        assert left < 2.5 * span * unit_mpa / FINEST_SHARE
        return
    class_percent, graduation = choice
    assert class_percent in CLASSES_PERCENT
    assert graduation >= span / FINEST_SHARE
    step = graduation * unit_mpa
    guard = guard_band(class_=class_percent, span=span * unit_mpa, graduation=step, u_press=press)
    low, high = (
        window_low(p_low=nominal - half, g=guard),
        window_high(p_high=nominal + half, g=guard),
    )
    assert marks_in(p_low=low, p_high=high, graduation=step) >= 1


@given(st.floats(0.0, 5.0), st.floats(0.0, 1.0), READABLE)
def test_no_coarser_gauge_keeps_the_promise(
    half: float, press: float, dial: tuple[float, float]
) -> None:
    unit_mpa, span = dial
    choice = gauge_that_would_do(half, press, span, unit_mpa)
    # By brute force over every class and every readable step of the ladder.
    ladder = [
        Fraction(digit) * Fraction(10) ** power for power in range(-3, 5) for digit in (1, 2, 5)
    ]
    fits = [
        (class_percent, float(step))
        for class_percent in CLASSES_PERCENT
        for step in ladder
        if Fraction(span) / FINEST_SHARE <= step <= span
        and step * Fraction(unit_mpa)
        <= Fraction(half)
        - Fraction(press)
        - Fraction(repr(class_percent)) / 100 * Fraction(span) * Fraction(unit_mpa)
        + Fraction(1, 10**9)  # the formula compares whole millipascals
    ]
    assert choice == (max(fits) if fits else None)


def test_gauges_that_fit_exactly_are_taken() -> None:
    # 400 bar: 8 bar half band: class 1.6 takes 6.4 and leaves 1.6: graduation 1 >= 0.8.
    assert gauge_that_would_do(0.8, 0.0, 400.0, BAR) == (1.6, 1.0)
    # class 1.6 leaves exactly 2 with a half band of 8.4; 0.84 - 0.64 in floats is below 0.2.
    assert 0.84 - 0.64 < 0.2
    assert gauge_that_would_do(0.84, 0.0, 400.0, BAR) == (1.6, 2.0)
    # 1 mbar less does not leave it, and the next step down is 1.
    assert gauge_that_would_do(0.8399, 0.0, 400.0, BAR) == (1.6, 1.0)
    # 500 bar: graduation 1 is just the finest that can be read; class 4 takes 20 and leaves 1.5.
    assert gauge_that_would_do(2.15, 0.0, 500.0, BAR) == (4.0, 1.0)
    # The press takes its share: 8.4 - 4.4 leaves 4; class 1 takes 4 and leaves nothing; 0.6: 1.6.
    assert gauge_that_would_do(0.84, 0.44, 400.0, BAR) == (0.6, 1.0)


def test_none_would_do() -> None:
    assert gauge_that_would_do(0.0, 0.0, 400.0, BAR) is None
    assert gauge_that_would_do(0.1, 0.2, 400.0, BAR) is None
    # Class 0.1 of 400 bar is 0.4 bar; 0.5 bar are left, a step that a span of 400 cannot show.
    assert gauge_that_would_do(0.09, 0.0, 400.0, BAR) is None
