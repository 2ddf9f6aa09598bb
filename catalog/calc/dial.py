"""The marks on a dial: how many lie in the window, where to stop, which gauge would do."""

from math import inf

from catalog.calc.formula import Formula
from catalog.calc.gauge import Window
from catalog.calc.refusals import refuse_values


def _step_pa(graduation: float, unit_pa: float, span: float) -> float:
    step_pa = graduation * unit_pa
    if not (0.0 < unit_pa < inf and 1.0 <= step_pa < inf and span > 0.0):
        refuse_values(
            "graduation, unit and span must be above 0 and a graduation at least 1 Pa",
            graduation=graduation,
            unit_pa=unit_pa,
            span=span,
        )
    return step_pa


def _marks(window: Window, step_pa: float, span_pa: float) -> tuple[int, int]:
    """Return the number of the first and of the last mark inside, first > last when there is none.

    Counting begins at mark 1: the zero of a dial is where nothing is pressed.
    """
    low_pa = window.low_pa
    high_pa = window.high_pa
    if high_pa <= low_pa:
        return 1, 0
    if span_pa < high_pa:
        high_pa = round(span_pa)
    # The division only guesses; the comparison of whole pascals decides.
    first = max(1, int(low_pa / step_pa))
    while round(first * step_pa) < low_pa:
        first += 1
    last = int(high_pa / step_pa) + 1
    while round(last * step_pa) > high_pa:
        last -= 1
    return first, last


MARKS_IN = Formula(
    id="marks-in-window",
    name="marks in the window",
    text="p_low <= n x graduation <= p_high, n = 1, 2, 3 ...",
    source="guard-band",
)


def marks_in(window: Window, graduation: float, unit_pa: float, span: float = inf) -> int:
    """Return how many marks of the dial lie in the window, its ends included.

    Parameters
    ----------
    window : Window
        Acceptable readings, in whole pascals [Pa].
    graduation : float
        Step from mark to mark on the dial, at least 1 Pa [dial unit].
    unit_pa : float
        Pascals in one unit of the dial [Pa].
    span : float
        Last reading on the dial; without it the dial has no end [dial unit].

    Returns
    -------
    int
        Number of marks [-].

    Raises
    ------
    ValueError
        If graduation, unit or span is not above 0 and finite, or a step of the dial is below 1 Pa.

    Source
    ------
    guard-band

    Examples
    --------
    >>> marks_in(Window(low_pa=13_800_000, high_pa=14_700_000), 5.0, 100_000.0)
    2
    """
    step_pa = _step_pa(graduation, unit_pa, span)
    first, last = _marks(window, step_pa, span * unit_pa)
    return max(0, last - first + 1)


STOP_MARK = Formula(
    id="stop-mark",
    name="mark to stop at",
    text="highest mark in the window at or below nominal, else its lowest mark",
    source="guard-band",
)


def stop_mark(
    window: Window,
    nominal_mpa: float,
    graduation: float,
    unit_pa: float,
    span: float = inf,
) -> float | None:
    """Return the mark to stop at, at or below nominal if it can be: a pump errs upward.

    Parameters
    ----------
    window : Window
        Acceptable readings, in whole pascals [Pa].
    nominal_mpa : float
        Gauge reading at the nominal force [MPa].
    graduation : float
        Step from mark to mark on the dial, at least 1 Pa [dial unit].
    unit_pa : float
        Pascals in one unit of the dial [Pa].
    span : float
        Last reading on the dial; without it the dial has no end [dial unit].

    Returns
    -------
    float or None
        Mark to stop at, None when no mark lies in the window [dial unit].

    Raises
    ------
    ValueError
        If nominal, graduation, unit or span is not above 0 and finite, or a step is below 1 Pa.

    Source
    ------
    guard-band

    Examples
    --------
    >>> stop_mark(Window(low_pa=13_800_000, high_pa=14_700_000), 14.25, 5.0, 100_000.0)
    140.0
    """
    step_pa = _step_pa(graduation, unit_pa, span)
    if not 0.0 < nominal_mpa < inf:
        refuse_values("the nominal reading must be above 0 MPa", nominal_mpa=nominal_mpa)
    first, last = _marks(window, step_pa, span * unit_pa)
    if first > last:
        return None
    nominal_pa = round(nominal_mpa * 1e6)
    mark = min(last, max(first, int(nominal_pa / step_pa) + 1))
    while mark > first and round(mark * step_pa) > nominal_pa:
        mark -= 1
    # Nine decimals drop the noise of the product: mark 3 of a dial in tenths reads 0.3.
    return round(mark * graduation, 9)


CLASSES_PERCENT = (4.0, 2.5, 1.6, 1.0, 0.6, 0.25, 0.1)  # EN 837-1, the coarsest first
FINEST_SHARE = 500  # a dial with more steps than this on its span cannot be read
# 1-2-5 steps, the coarsest first; parsed from decimals, so that each is the nearest float.
_LADDER = tuple(float(f"{digit}e{power}") for power in range(5, -7, -1) for digit in (5, 2, 1))

GAUGE_CHOICE = Formula(
    id="gauge-choice",
    name="gauge that would do",
    text="graduation <= half band - u_press - class / 100 x span",
    source="en-837-1",
)


def gauge_that_would_do(
    half_band_mpa: float, press_uncertainty_mpa: float, span: float, unit_pa: float
) -> tuple[float, float] | None:
    """Return the coarsest class, and its coarsest graduation, that leaves a mark in the window.

    Parameters
    ----------
    half_band_mpa : float
        Half the width of the allowed band of readings, before any guard [MPa].
    press_uncertainty_mpa : float
        Uncertainty of the press itself [MPa].
    span : float
        Span of the gauge [dial unit].
    unit_pa : float
        Pascals in one unit of the dial [Pa].

    Returns
    -------
    tuple of float, or None
        Class [%] and graduation [dial unit], None when no gauge of this span would do.

    Raises
    ------
    ValueError
        If a value is negative or not finite, or span or unit is 0.

    Source
    ------
    en-837-1

    Examples
    --------
    >>> gauge_that_would_do(1.1, 0.0, 600.0, 100_000.0)
    (1.0, 5.0)
    """
    span_pa = span * unit_pa
    if not (
        0.0 <= half_band_mpa < inf
        and 0.0 <= press_uncertainty_mpa < inf
        and 0.0 < span < inf
        and 0.0 < unit_pa < inf
    ):
        refuse_values(
            "half band and uncertainty must be at least 0 MPa, span and unit above 0",
            half_band_mpa=half_band_mpa,
            press_uncertainty_mpa=press_uncertainty_mpa,
            span=span,
            unit_pa=unit_pa,
        )
    # With a graduation of at most what is left, the window is 2 (left - graduation / 2) wide, at
    # least one graduation, and so holds a mark wherever it lies. Compared in whole millipascals:
    # float noise must not refuse a graduation that fits exactly.
    free_pa = (half_band_mpa - press_uncertainty_mpa) * 1e6
    for class_percent in CLASSES_PERCENT:
        left_mpascal = round((free_pa - class_percent / 100.0 * span_pa) * 1000.0)
        for graduation in _LADDER:
            if graduation * FINEST_SHARE < span:
                break
            if graduation <= span and round(graduation * unit_pa * 1000.0) <= left_mpascal:
                return class_percent, graduation
    return None
