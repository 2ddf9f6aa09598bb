"""What a gauge on a press may read: its guard band, the dial window, the limit, the marks.

INVARIANT: windows and marks meet in whole pascals only, where float noise is rounded away.
"""

from math import inf
from typing import Final

from catalog.formulas.formula import KN, Mm2, MPa, Percent, Plain, formula


def pascals(mpa: float) -> int:
    """Whole pascals of a pressure [MPa]."""
    return round(mpa * 1e6)


@formula("u = (f F / 100 + dF_return) / A", source="guard-band")
def press_uncertainty(f: Percent, F: KN, dF_return: KN, A: Mm2) -> MPa:
    """What friction and the return spring leave unknown, as a pressure, added up.

    >>> round(press_uncertainty(f=2.0, F=27.5, dF_return=0.0, A=5000.0), 6)
    0.11
    """
    return (f / 100.0 * F + dF_return) * 1000.0 / A  # kN to N


@formula("g = class / 100 x span + graduation / 2 + u_press", source="guard-band")
def guard_band(class_: Percent, span: MPa, graduation: MPa, u_press: MPa) -> MPa:
    """All that is not known of a reading, added up as the worst case.

    >>> round(guard_band(class_=1.0, span=40.0, graduation=0.5, u_press=0.0), 6)
    0.65
    """
    return class_ / 100.0 * span + 0.5 * graduation + u_press


@formula("p_low + g, in whole pascals", source="guard-band")
def window_low(p_low: MPa, g: MPa) -> MPa:
    """Least acceptable reading.

    >>> window_low(p_low=13.15, g=0.65)
    13.8
    """
    return pascals(p_low + g) / 1e6


@formula("p_high - g, in whole pascals", source="guard-band")
def window_high(p_high: MPa, g: MPa) -> MPa:
    """Greatest acceptable reading; below the least where the guard is wider than the band.

    >>> window_high(p_high=15.35, g=0.65)
    14.7
    """
    return pascals(p_high - g) / 1e6


@formula("p_span = min(span, p_protector - tolerance)", source="guard-band")
def dial_end(span: MPa, p_protector: MPa, tolerance: MPa) -> MPa:
    """Last reading that the pointer is sure to reach where a protector may stop it.

    >>> round(dial_end(span=16.0, p_protector=16.0, tolerance=0.4), 6)
    15.6
    """
    return min(span, p_protector - tolerance)


@formula(
    "p_max = min(p_ceiling - g, p_press - g, p_tooling - g, p_span), at least 0",
    source="guard-band",
)
def never_exceed(p_ceiling: MPa, g: MPa, p_press: MPa, p_span: MPa, p_tooling: MPa = inf) -> MPa:
    """Reading never to go beyond; 0 where the guard leaves nothing below a limit.

    Ceiling, rating of the press and of the tooling are true pressures in the ram, of which the
    gauge may show too little by g; what is known of no tool adds no limit.

    >>> round(never_exceed(p_ceiling=17.65, g=0.65, p_press=63.0, p_span=40.0), 6)
    17.0
    """
    return max(0.0, min(p_span, p_ceiling - g, p_press - g, p_tooling - g))


@formula("p_high = min(p_high, p_max, p_relief)", source="guard-band")
def usable_high(p_high: MPa, p_max: MPa, p_relief: MPa) -> MPa:
    """Greatest acceptable reading below never exceed and the setting of the relief valve.

    >>> usable_high(p_high=14.7, p_max=14.5, p_relief=70.0)
    14.5
    """
    return min(pascals(p_high), pascals(min(p_max, p_relief))) / 1e6


@formula(
    "p = 1.25 x span to 100 bar, 1.15 x span to 600 bar, 1.10 x span above",
    source="gauge-overload-memory",
)
def gauge_overload(span: MPa) -> MPa:
    """What a gauge of this span usually survives without lasting harm.

    >>> round(gauge_overload(span=10.0), 6), round(gauge_overload(span=25.0), 6)
    (12.5, 28.75)
    """
    if span <= 10.0:
        return 1.25 * span
    return (1.15 if span <= 60.0 else 1.10) * span


@formula("p_low <= n x graduation <= p_high, n = 1, 2, 3 ...", source="guard-band")
def marks_in(p_low: MPa, p_high: MPa, graduation: MPa) -> Plain:
    """How many marks of the dial lie in the window, its ends included; none in one of no width.

    >>> marks_in(p_low=13.8, p_high=14.7, graduation=0.5)
    2
    """
    first, last = _marks(p_low, p_high, graduation)
    return max(0, last - first + 1)


@formula(
    "highest n x graduation from p_low to p_high that is not above p, else the lowest",
    source="guard-band",
)
def stop_mark(p_low: MPa, p_high: MPa, graduation: MPa, p: MPa) -> MPa:
    """Mark to stop at, of a window that has one: a pump errs upward.

    >>> stop_mark(p_low=13.8, p_high=14.7, graduation=0.5, p=14.25)
    14.0
    """
    first, last = _marks(p_low, p_high, graduation)
    mark = min(last, max(first, int(p / graduation) + 1))
    while mark > first and pascals(mark * graduation) > pascals(p):
        mark -= 1
    return mark * graduation


def _marks(p_low: float, p_high: float, graduation: float) -> tuple[int, int]:
    """Number of the first and of the last mark inside, first > last where there is none.

    Counting begins at mark 1: the zero of a dial is where nothing is pressed.
    """
    low, high = pascals(p_low), pascals(p_high)
    if high <= low:
        return 1, 0
    # The division only guesses; the comparison of whole pascals decides.
    first = max(1, int(p_low / graduation))
    while pascals(first * graduation) < low:
        first += 1
    last = int(p_high / graduation) + 1
    while pascals(last * graduation) > high:
        last -= 1
    return first, last


CLASSES_PERCENT: Final = (4.0, 2.5, 1.6, 1.0, 0.6, 0.25, 0.1)
"""Classes of EN 837-1, the coarsest first."""
FINEST_SHARE: Final = 500
"""A dial with more steps than this on its span cannot be read (common practice)."""
# Parsed from decimals, so that each is the nearest float.
GRADUATIONS: Final = tuple(
    float(f"{digit}e{power}") for power in range(5, -7, -1) for digit in (5, 2, 1)
)
"""Graduations that a dial has, the coarsest first: 1, 2 or 5 times a power of ten (common
practice)."""


def gauge_that_would_do(
    half_band_mpa: float, press_uncertainty_mpa: float, span: float, unit_mpa: float
) -> tuple[float, float] | None:
    """Coarsest class [%] and graduation that leave a mark in the window, None where none does.

    `span` and the graduation are in a unit of the dial, which is `unit_mpa`. Source: en-837-1.

    >>> gauge_that_would_do(1.1, 0.0, 600.0, 0.1)
    (1.0, 5.0)
    """
    # With a graduation of at most what is left, the window is 2 (left - graduation / 2) wide, at
    # least one graduation, and so holds a mark wherever it lies. Compared in whole millipascals:
    # float noise must not refuse a graduation that fits exactly.
    free_mpa = half_band_mpa - press_uncertainty_mpa
    for class_percent in CLASSES_PERCENT:
        left_mpascal = round((free_mpa - class_percent / 100.0 * span * unit_mpa) * 1e9)
        for graduation in GRADUATIONS:
            if graduation * FINEST_SHARE < span:
                break
            if graduation <= span and round(graduation * unit_mpa * 1e9) <= left_mpascal:
                return class_percent, graduation
    return None
