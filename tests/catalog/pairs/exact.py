"""The numbers of a press, a gauge and a target in exact fractions, from the rows alone.

INVARIANT: nothing here imports the code that calculates or tells them.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from math import ceil, floor
from typing import Final, NamedTuple

from catalog.rows import Cone, Gauge, Plate, Press, Target

LBF_N: Final = Fraction("4.4482216152605")
PSI_PA: Final = LBF_N / Fraction("0.0254") ** 2
PASCALS: Final = {"bar": Fraction(100_000), "MPa": Fraction(1_000_000), "psi": PSI_PA}
NEWTONS: Final = {"kN": Fraction(1000), "lbf": LBF_N}
CUBIC_MM: Final = {"mm3": Fraction(1), "cm3": Fraction(1000), "in3": Fraction("25.4") ** 3}


def exact(value: float) -> Fraction:
    return Fraction(str(value))


class Numbers(NamedTuple):
    """Numbers of one target on one press with one gauge [Pa, N, mm3]; `stop_at` is a mark or None.

    `window` is cut at never exceed and at the relief setting, `uncut` is not.
    """

    nominal: Fraction
    low: Fraction
    high: Fraction
    ceiling: Fraction
    tooling: Fraction | None
    unsure: Fraction
    guard: Fraction
    uncut: tuple[Fraction, Fraction]
    window: tuple[Fraction, Fraction]
    expected: tuple[Fraction, Fraction]
    never_exceed: Fraction
    marks: tuple[Fraction, ...]
    stop_at: Fraction | None
    relief_needed: Fraction
    oil: Fraction
    at_relief: Fraction

    def told_nowhere_else(self) -> Iterator[tuple[str, Fraction]]:
        """Every pressure that leads to a reading to press to, by name."""
        for name in ("nominal", "low", "high", "ceiling", "tooling", "unsure", "guard"):
            value = getattr(self, name)
            if value is not None:
                yield name, value
        for name in ("uncut", "window", "expected"):
            for end, value in zip(("low", "high"), getattr(self, name), strict=True):
                yield f"{name} {end}", value
        yield "never exceed", self.never_exceed
        yield "relief needed", self.relief_needed
        for mark in self.marks:
            yield "stop at" if mark == self.stop_at else "mark", mark


@cache
def numbers_of(
    target: Target, press: Press, gauge: Gauge, cone: Cone | None, plate: Plate | None
) -> Numbers:
    unit = PASCALS[gauge.unit]
    force, share = exact(target.force_kn), exact(target.tolerance_percent) / 100
    area_m2, back = exact(press.ram_area_cm2) / 10_000, exact(press.return_force_kn)

    def reading(kn: Fraction) -> Fraction:
        return (kn + back) * 1000 / area_m2

    unsure = (
        (exact(press.friction_percent) / 100 * force + exact(press.return_force_tolerance_kn))
        * 1000
        / area_m2
    )
    graduation = exact(gauge.graduation) * unit
    guard = exact(gauge.class_percent) / 100 * exact(gauge.span) * unit + graduation / 2 + unsure
    nominal = reading(force)
    low, high = reading(force * (1 - share)), reading(force * (1 + share))
    ceiling = reading(exact(target.ceiling_kn))
    rated = [reading(exact(tool.rated_force_kn)) for tool in (cone, plate) if tool is not None]
    never = min(
        ceiling - guard,
        exact(press.rated_pressure_bar) * PASCALS["bar"] - guard,
        *(each - guard for each in rated),
        last_reading(gauge),
    )
    relief = exact(press.relief_setting_bar) * PASCALS["bar"]
    window = low + guard, min(high - guard, never, relief)
    marks: tuple[Fraction, ...] = ()
    if window[0] < window[1]:
        first, last = ceil(window[0] / graduation), floor(window[1] / graduation)
        marks = tuple(graduation * n for n in range(max(first, 1), last + 1))
    below = [mark for mark in marks if mark <= nominal]
    at_contact = target.finish == "at-contact"
    stop_at = max(below) if below else min(marks, default=None)
    return Numbers(
        nominal=nominal,
        low=low,
        high=high,
        ceiling=ceiling,
        tooling=min(rated, default=None),
        unsure=unsure,
        guard=guard,
        uncut=(low + guard, high - guard),
        window=window,
        expected=(low, min(high, never, relief)),
        never_exceed=never,
        marks=marks,
        stop_at=stop_at,
        relief_needed=high if at_contact or stop_at is None else stop_at + graduation,
        oil=exact(press.ram_area_cm2) * 100 * exact(press.stroke_mm),
        at_relief=relief * area_m2 - back * 1000,
    )


def last_reading(gauge: Gauge) -> Fraction:
    """Last reading that the pointer is sure to reach [Pa]."""
    span, unit = exact(gauge.span), PASCALS[gauge.unit]
    if gauge.protected_to is None:
        return span * unit
    return min(span, exact(gauge.protected_to) - exact(gauge.protected_tolerance or 0.0)) * unit


def forces_of(target: Target) -> dict[str, Fraction]:
    """Force, band and ceiling of a target [N]."""
    force, share = exact(target.force_kn) * 1000, exact(target.tolerance_percent) / 100
    return {
        "force": force,
        "least force": force * (1 - share),
        "greatest force": force * (1 + share),
        "ceiling": exact(target.ceiling_kn) * 1000,
    }


def can_finish(target: Target, press: Press, gauge: Gauge, numbers: Numbers) -> bool:
    """Whether this press with this gauge does it without a `press.*` or `gauge.*` finding."""
    relief = exact(press.relief_setting_bar) * PASCALS["bar"]
    unit = PASCALS[gauge.unit]
    if target.finish == "at-pressure":
        if numbers.stop_at is None:
            return False
    elif numbers.nominal > numbers.never_exceed:
        return False
    span = exact(gauge.span) * unit
    bar = PASCALS["bar"]
    share = Fraction("1.25" if span <= 100 * bar else "1.15" if span <= 600 * bar else "1.1")
    survives = span * share if gauge.overload is None else exact(gauge.overload) * unit
    closes = exact(gauge.protected_to or 0) * unit + exact(gauge.protected_tolerance or 0) * unit
    protected = gauge.protected_to is not None and closes <= survives
    return (
        gauge.id in press.gauges
        and not gauge.stop_pin
        and numbers.relief_needed <= relief <= exact(press.rated_pressure_bar) * bar
        and (protected or relief <= survives)
        and (gauge.protected_to is not None or numbers.nominal <= span)
        and numbers.oil <= exact(press.usable_oil_cm3) * 1000
    )
