"""What a gauge on a press may read: its guard band, the dial window and the limit of pressing."""

from math import inf

from msgspec import Struct

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_values

PRESS_UNCERTAINTY = Formula(
    id="press-uncertainty",
    name="uncertainty of the press",
    text="u = (f F / 100 + dF_return) / A",
    source="guard-band",
)


def press_uncertainty_mpa(
    friction_percent: float,
    force_kn: float,
    return_tolerance_kn: float,
    ram_area_mm2: float,
) -> float:
    """Return what friction and the return spring leave unknown, as a pressure, added up.

    Parameters
    ----------
    friction_percent : float
        Friction f of the press, in percent of the nominal force [%].
    force_kn : float
        Nominal force F on the ring [kN].
    return_tolerance_kn : float
        Tolerance dF_return of the return force [kN].
    ram_area_mm2 : float
        Area A of the ram [mm2].

    Returns
    -------
    float
        Uncertainty u of the press [MPa].

    Raises
    ------
    ValueError
        If the area is not above 0, or a value is negative or not finite.

    Source
    ------
    guard-band

    Examples
    --------
    >>> round(press_uncertainty_mpa(2.0, 27.5, 0.0, 5000.0), 6)
    0.11
    """
    if not (
        0.0 <= friction_percent < inf
        and 0.0 <= force_kn < inf
        and 0.0 <= return_tolerance_kn < inf
        and 0.0 < ram_area_mm2 < inf
    ):
        refuse_values(
            "friction and forces must be at least 0 and the ram area above 0 mm2",
            friction_percent=friction_percent,
            force_kn=force_kn,
            return_tolerance_kn=return_tolerance_kn,
            ram_area_mm2=ram_area_mm2,
        )
    unknown_kn = friction_percent / 100.0 * force_kn + return_tolerance_kn
    return unknown_kn * 1000.0 / ram_area_mm2  # kN to N


GUARD_BAND = Formula(
    id="guard-band",
    name="guard band (worst-case sum)",
    text="g = class / 100 x span + graduation / 2 + u_press",
    source="guard-band",
)


def guard_mpa(
    class_percent: float, span_mpa: float, graduation_mpa: float, press_mpa: float
) -> float:
    """Return the guard band: all that is not known of a reading, added up as the worst case.

    Parameters
    ----------
    class_percent : float
        Accuracy class of the gauge, in percent of its span [%].
    span_mpa : float
        Span of the gauge [MPa].
    graduation_mpa : float
        Step from mark to mark on the dial [MPa].
    press_mpa : float
        Uncertainty u_press of the press itself [MPa].

    Returns
    -------
    float
        Guard band g [MPa].

    Raises
    ------
    ValueError
        If class, span or graduation is not above 0, the press's part negative, or one not finite.

    Source
    ------
    guard-band

    Examples
    --------
    >>> round(guard_mpa(1.0, 40.0, 0.5, 0.0), 6)
    0.65
    """
    if not (
        0.0 < class_percent < inf
        and 0.0 < span_mpa < inf
        and 0.0 < graduation_mpa < inf
        and 0.0 <= press_mpa < inf
    ):
        refuse_values(
            "class, span and graduation must be above 0 and the press's part at least 0",
            class_percent=class_percent,
            span_mpa=span_mpa,
            graduation_mpa=graduation_mpa,
            press_mpa=press_mpa,
        )
    return class_percent / 100.0 * span_mpa + 0.5 * graduation_mpa + press_mpa


class Window(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """The acceptable readings of one gauge, both ends included, in whole pascals [Pa]."""

    low_pa: int
    high_pa: int

    @property
    def is_empty(self) -> bool:
        """Tell whether nothing can be read in the window; one of no width is empty."""
        return self.high_pa <= self.low_pa


DIAL_WINDOW = Formula(
    id="dial-window",
    name="dial window",
    text="p_low + g to p_high - g, in whole pascals",
    source="guard-band",
)


def dial_window(low_mpa: float, high_mpa: float, guard_mpa: float) -> Window:
    """Return the allowed readings, shrunk at both ends by the guard band.

    Parameters
    ----------
    low_mpa : float
        Gauge reading at the least allowed force [MPa].
    high_mpa : float
        Gauge reading at the greatest allowed force [MPa].
    guard_mpa : float
        Guard band g [MPa].

    Returns
    -------
    Window
        Acceptable readings [Pa].

    Raises
    ------
    ValueError
        If low is above high, or a value is negative or not finite.

    Source
    ------
    guard-band

    Examples
    --------
    >>> dial_window(13.15, 15.35, 0.65)
    Window(low_pa=13800000, high_pa=14700000)
    """
    if not (0.0 <= low_mpa <= high_mpa < inf and 0.0 <= guard_mpa < inf):
        refuse_values(
            "the low reading must be from 0 to the high one, and the guard at least 0 MPa",
            low_mpa=low_mpa,
            high_mpa=high_mpa,
            guard_mpa=guard_mpa,
        )
    # INVARIANT: windows and marks meet in whole pascals only, where float noise is rounded away.
    return Window(
        low_pa=round((low_mpa + guard_mpa) * 1e6), high_pa=round((high_mpa - guard_mpa) * 1e6)
    )


DIAL_END = Formula(
    id="dial-end",
    name="last reading of a protected dial",
    text="p_span = min(span, p_protector - tolerance)",
    source="guard-band",
)


def dial_end_mpa(span_mpa: float, protected_mpa: float, tolerance_mpa: float) -> float:
    """Return the last reading that the pointer is sure to reach where a protector may stop it.

    Parameters
    ----------
    span_mpa : float
        Span of the gauge [MPa].
    protected_mpa : float
        Reading p_protector at which the protector closes [MPa].
    tolerance_mpa : float
        Tolerance of that reading [MPa].

    Returns
    -------
    float
        Last reading p_span [MPa].

    Raises
    ------
    ValueError
        If span or setting is not above 0, or the tolerance not from 0 to below the setting.

    Source
    ------
    guard-band

    Examples
    --------
    >>> round(dial_end_mpa(16.0, 16.0, 0.4), 6)
    15.6
    """
    if not (0.0 < span_mpa < inf and 0.0 <= tolerance_mpa < protected_mpa < inf):
        refuse_values(
            "span and setting must be above 0 MPa, the tolerance from 0 to below the setting",
            span_mpa=span_mpa,
            protected_mpa=protected_mpa,
            tolerance_mpa=tolerance_mpa,
        )
    return min(span_mpa, protected_mpa - tolerance_mpa)


NEVER_EXCEED = Formula(
    id="never-exceed",
    name="never exceed",
    text="p_max = min(p_ceiling - g, p_press - g, p_tooling - g, p_span), at least 0",
    source="guard-band",
)


def never_exceed_mpa(guard_mpa: float, span_mpa: float, *limits_mpa: float | None) -> float:
    """Return the reading never to go beyond; 0 when the guard leaves nothing below a limit.

    Parameters
    ----------
    guard_mpa : float
        Guard band g [MPa].
    span_mpa : float
        Last reading that the gauge shows [MPa].
    *limits_mpa : float or None
        Ceiling of the target, rating of the press, rated force of the tooling, each as a true
        pressure in the ram, above which the gauge may read too low by g; None adds no limit [MPa].

    Returns
    -------
    float
        Gauge reading p_max [MPa].

    Raises
    ------
    ValueError
        If the guard is negative, a limit is not above 0, or one is not finite.

    Source
    ------
    guard-band

    Examples
    --------
    >>> round(never_exceed_mpa(0.65, 40.0, 17.65, 63.0, None), 6)
    17.0
    """
    guarded_mpa = [limit for limit in limits_mpa if limit is not None]
    if not (0.0 <= guard_mpa < inf and all(0.0 < mpa < inf for mpa in (span_mpa, *guarded_mpa))):
        refuse_values(
            "the guard must be at least 0 MPa and every limit above 0 MPa",
            guard_mpa=guard_mpa,
            span_mpa=span_mpa,
            **{f"limit_{n}_mpa": mpa for n, mpa in enumerate(guarded_mpa)},
        )
    return max(0.0, min(span_mpa, *(mpa - guard_mpa for mpa in guarded_mpa)))


USABLE_WINDOW = Formula(
    id="usable-window",
    name="window below never exceed and relief",
    text="p_high = min(p_high, p_max, p_relief)",
    source="guard-band",
)


def usable_window(window: Window, never_exceed_mpa: float, relief_mpa: float = inf) -> Window:
    """Return what is left of a window below never exceed and the setting of the relief valve.

    Parameters
    ----------
    window : Window
        Acceptable readings [Pa].
    never_exceed_mpa : float
        Reading p_max never to go beyond [MPa].
    relief_mpa : float
        Setting p_relief of the relief valve; without it the valve cuts nothing off [MPa].

    Returns
    -------
    Window
        Acceptable readings at most both, empty where the window begins beyond them [Pa].

    Raises
    ------
    ValueError
        If a limit is negative, or never exceed not finite.

    Source
    ------
    guard-band

    Examples
    --------
    >>> usable_window(Window(low_pa=13_800_000, high_pa=14_700_000), 14.5)
    Window(low_pa=13800000, high_pa=14500000)
    """
    if not (0.0 <= never_exceed_mpa < inf and relief_mpa >= 0.0):
        refuse_values(
            "both limits must be at least 0 MPa",
            never_exceed_mpa=never_exceed_mpa,
            relief_mpa=relief_mpa,
        )
    end_mpa = min(never_exceed_mpa, relief_mpa)
    return Window(low_pa=window.low_pa, high_pa=min(window.high_pa, round(end_mpa * 1e6)))


GAUGE_OVERLOAD = Formula(
    id="gauge-overload",
    name="overload that a gauge survives",
    text="p = 1.25 x span to 100 bar, 1.15 x span to 600 bar, 1.10 x span above",
    source="gauge-overload-memory",
)


def gauge_overload_mpa(span_mpa: float) -> float:
    """Return what a gauge of this span usually survives without lasting harm.

    Parameters
    ----------
    span_mpa : float
        Span of the gauge [MPa].

    Returns
    -------
    float
        Overload pressure p [MPa].

    Raises
    ------
    ValueError
        If the span is not above 0 and finite.

    Source
    ------
    gauge-overload-memory

    Examples
    --------
    >>> round(gauge_overload_mpa(10.0), 6), round(gauge_overload_mpa(25.0), 6)
    (12.5, 28.75)
    """
    if not 0.0 < span_mpa < inf:
        refuse_values("the span must be above 0 MPa", span_mpa=span_mpa)
    if span_mpa <= 10.0:
        return 1.25 * span_mpa
    return (1.15 if span_mpa <= 60.0 else 1.10) * span_mpa
