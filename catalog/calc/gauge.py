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


NEVER_EXCEED = Formula(
    id="never-exceed",
    name="never exceed",
    text="p_max = min(p_ceiling - g, p_press, p_span, p_tooling), at least 0",
    source="guard-band",
)


def never_exceed_mpa(
    ceiling_mpa: float,
    guard_mpa: float,
    press_rated_mpa: float | None,
    span_mpa: float | None,
    *tooling_mpa: float | None,
) -> float:
    """Return the reading never to go beyond; 0 when the guard leaves nothing below the ceiling.

    Parameters
    ----------
    ceiling_mpa : float
        Ceiling of the press target as a gauge reading [MPa].
    guard_mpa : float
        Guard band g [MPa].
    press_rated_mpa : float or None
        Rated pressure of the press; None adds no limit [MPa].
    span_mpa : float or None
        Span of the gauge; None adds no limit [MPa].
    *tooling_mpa : float or None
        Rated forces of cone and plate as gauge readings; None adds no limit [MPa].

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
    >>> round(never_exceed_mpa(17.65, 0.65, 63.0, 40.0, None), 6)
    17.0
    """
    if not (0.0 < ceiling_mpa < inf and 0.0 <= guard_mpa < inf):
        refuse_values(
            "the ceiling must be above 0 MPa and the guard at least 0 MPa",
            ceiling_mpa=ceiling_mpa,
            guard_mpa=guard_mpa,
        )
    least_mpa = ceiling_mpa - guard_mpa
    for limit_mpa in (press_rated_mpa, span_mpa, *tooling_mpa):
        if limit_mpa is None:
            continue
        if not 0.0 < limit_mpa < inf:
            refuse_values("every limit must be above 0 MPa", limit_mpa=limit_mpa)
        least_mpa = min(least_mpa, limit_mpa)
    return max(0.0, least_mpa)


USABLE_WINDOW = Formula(
    id="usable-window",
    name="window below never exceed",
    text="p_high = min(p_high, p_max)",
    source="guard-band",
)


def usable_window(window: Window, never_exceed_mpa: float) -> Window:
    """Return what is left of a window below the reading that is never exceeded.

    Parameters
    ----------
    window : Window
        Acceptable readings [Pa].
    never_exceed_mpa : float
        Reading p_max never to go beyond [MPa].

    Returns
    -------
    Window
        Acceptable readings at most p_max, empty where the window begins beyond it [Pa].

    Raises
    ------
    ValueError
        If the limit is negative or not finite.

    Source
    ------
    guard-band

    Examples
    --------
    >>> usable_window(Window(low_pa=13_800_000, high_pa=14_700_000), 14.5)
    Window(low_pa=13800000, high_pa=14500000)
    """
    if not 0.0 <= never_exceed_mpa < inf:
        refuse_values("the limit must be at least 0 MPa", never_exceed_mpa=never_exceed_mpa)
    return Window(low_pa=window.low_pa, high_pa=min(window.high_pa, round(never_exceed_mpa * 1e6)))
