"""Whether this gauge can show it: fit, span, class, marks, zero, calibration."""

from collections.abc import Iterator
from typing import Final

from msgspec import UNSET

from catalog.formulas.gauge import gauge_that_would_do, marks_in
from catalog.quantities import FACTOR, above
from catalog.rows import Gauge, Press
from catalog.rules.raised import (
    Raised,
    at_the_most,
    force_limit,
    pressure,
    pressure_limit,
    told,
    tool_at,
)
from catalog.setup.pressing import Pressing, Window, weakest
from catalog.setup.resolving import Setup

DUE_NOW_DAYS: Final = 7
"""Days before a due day from which on it is worth a caution, and no note alone."""


def not_for_press(setup: Setup) -> Iterator[Raised]:
    """A gauge belongs to the presses that list it."""
    press, gauge = setup.press, setup.gauge
    if press is not None and gauge is not None and gauge.id not in press.gauges:
        message = f"`{gauge.id}` is not for `{press.id}`, which takes {', '.join(press.gauges)}"
        yield Raised("gauge.not-for-press", "/gauge", message, (press,))


def above_span(setup: Setup) -> Iterator[Raised]:
    """The nominal reading must be on the dial."""
    numbers, gauge = setup.pressing, setup.gauge
    if numbers is None or gauge is None or gauge.protected_to is not None:
        return
    if above(numbers.nominal_mpa, gauge.span_mpa):
        yield _above_span(numbers)


def above_working_range(setup: Setup) -> Iterator[Raised]:
    """From a share of its span on, a dial is beyond its steady working range."""
    numbers, gauge = setup.pressing, setup.gauge
    if numbers is None or gauge is None:
        return
    needed_mpa = numbers.nominal_mpa
    if numbers.stop_mpa is not None and numbers.contact is None:
        needed_mpa = numbers.stop_mpa
    limit_mpa = gauge.span_mpa * gauge.working_range_percent / 100
    if not above(limit_mpa, needed_mpa) and not above(needed_mpa, gauge.span_mpa):
        message = (
            f"the reading lies beyond the working range of `{gauge.id}`, which ends at "
            f"{_dial(gauge, limit_mpa)} ({gauge.working_range_percent:g} % of span)"
        )
        yield Raised("gauge.above-working-range", "/gauge", message, (gauge,))


def too_coarse(setup: Setup) -> Iterator[Raised]:
    """Nothing is left of the force band once class, graduation and press are taken off."""
    numbers, gauge, target = setup.pressing, setup.gauge, setup.target
    if numbers is None or gauge is None or target is None or target.finish != "at-pressure":
        return
    if numbers.window.is_empty:
        message = f"`{gauge.id}` is too coarse for the force band: {_better(numbers, gauge)}"
        yield Raised("gauge.too-coarse", "/gauge", message, (gauge, target))


def no_mark_in_window(setup: Setup) -> Iterator[Raised]:
    """A window between two marks cannot be stopped in."""
    numbers, gauge, target = setup.pressing, setup.gauge, setup.target
    if numbers is None or gauge is None or target is None or target.finish != "at-pressure":
        return
    # Before any limit cuts it: each of those has a finding of its own.
    if not numbers.window.is_empty and not _has_mark(numbers.window, gauge):
        message = (
            f"no mark of `{gauge.id}` (every {gauge.graduation:g} {gauge.unit}) lies in the "
            f"window: {_better(numbers, gauge)}"
        )
        yield Raised("gauge.no-mark-in-window", "/gauge", message, (gauge, target))


def window_cut_off(setup: Setup) -> Iterator[Raised]:
    """A limit of press, gauge, relief or tooling that leaves no mark refuses the setup.

    Each is looked at alone, so that the relief hides no rating and no rating the relief.
    """
    numbers, gauge, press = setup.pressing, setup.gauge, setup.press
    if numbers is None or gauge is None or press is None or not _at_pressure(setup):
        return
    if not _has_mark(numbers.window, gauge):
        return
    if not _has_mark(numbers.window.up_to(numbers.relief_mpa), gauge):
        setting = pressure(setup, numbers.relief_mpa)
        message = f"relief of `{press.id}` is set to {setting}, below every mark of the window"
        yield Raised("press.relief-setting", "/press", message, (press,))
    if not _has_mark(numbers.window.up_to(numbers.never_exceed_mpa), gauge):
        yield from _limited(setup, numbers, gauge, press, "leaves no mark to stop at")


def contact_beyond_limit(setup: Setup) -> Iterator[Raised]:
    """A limit that is passed before contact is expected lets no ring be finished."""
    numbers, gauge, press = setup.pressing, setup.gauge, setup.press
    if numbers is None or gauge is None or press is None or _at_pressure(setup):
        return
    if above(numbers.nominal_mpa, numbers.never_exceed_mpa):
        yield from _limited(setup, numbers, gauge, press, "is passed before contact is expected")


def _has_mark(window: Window, gauge: Gauge) -> bool:
    graduation = gauge.graduation_mpa
    return marks_in(p_low=window.low_mpa, p_high=window.high_mpa, graduation=graduation) > 0


def _beyond_press_or_dial(numbers: Pressing, gauge: Gauge) -> bool:
    """Whether the nominal reading alone is too much, which has findings of its own."""
    beyond_dial = gauge.protected_to is None and above(numbers.nominal_mpa, gauge.span_mpa)
    return beyond_dial or above(numbers.nominal_mpa, numbers.press_rated_mpa)


def _above_span(numbers: Pressing) -> Raised:
    gauge = numbers.gauge
    end = at_the_most(numbers.reach_mpa, "MPa", gauge.unit)
    message = f"the reading to press to is beyond the dial of `{gauge.id}`, limit {end}"
    return Raised("gauge.above-span", "/gauge", message, (gauge,))


def _limited(
    setup: Setup, numbers: Pressing, gauge: Gauge, press: Press, what: str
) -> Iterator[Raised]:
    """Refusal by whichever limit is the lowest; `what` it does to the pressing."""
    tool = weakest(setup.cone, setup.plate)
    if numbers.limited_by == "dial" and gauge.protected_to is not None:
        yield _above_span(numbers)  # nobody else says so of a protected gauge
        return
    if _beyond_press_or_dial(numbers, gauge):
        return
    if numbers.limited_by == "tooling" and tool is not None:
        limit = f"limit of `{tool.id}` {force_limit(setup, tool.rated_force_kn)}"
        message = f"less the guard, its rated force {what}, {limit}"
        yield Raised("tooling.force-rating", "/tooling", message, (tool,))
    elif numbers.limited_by == "dial":
        yield _above_span(numbers)
    elif numbers.limited_by == "press":
        limit = pressure_limit(setup, numbers.press_rated_mpa)
        message = f"less the guard, the rating of `{press.id}` {what}, limit {limit}"
        yield Raised("press.too-small", "/press", message, (press,))
    else:
        message = f"less the guard of `{gauge.id}`, the ceiling {what}"
        rows = (gauge,) if setup.target is None else (gauge, setup.target)
        yield Raised("gauge.too-coarse", "/gauge", message, rows)


def zero_unknown(setup: Setup) -> Iterator[Raised]:
    """A stop pin holds the pointer at zero even where the gauge reads wrong."""
    gauge = setup.gauge
    checked = setup.tool_state.gauge_zero_checked
    if gauge is not None and (checked is False or (gauge.stop_pin and checked is not True)):
        why = "its stop pin may hide a shifted one" if gauge.stop_pin else "it was not checked"
        message = f"the zero of `{gauge.id}` is not known: {why}"
        yield Raised("gauge.zero-unknown", "/tool_state/gauge_zero_checked", message, (gauge,))


def calibration(setup: Setup) -> Iterator[Raised]:
    """A gauge is used up to its due day, and with a caution in the time before it."""
    due, on, gauge = setup.tool_state.gauge_calibration_due, setup.day.on, setup.gauge
    if gauge is None or due is UNSET:
        return
    at = tool_at(setup, gauge.id, "calibration_due", "gauge_calibration_due")
    if on is UNSET:
        if all(fact.at != "/on" for fact in setup.required):
            message = f"calibration of `{gauge.id}` is due {due}, and the day is not stated"
            yield Raised("gauge.date-unknown", "/on", message, (gauge,))
        return
    days = (due - on).days
    if days < 0:
        message = f"calibration of `{gauge.id}` was due {due}, before {on}"
        yield Raised("gauge.calibration-overdue", at, message, (gauge,))
    elif days <= gauge.due_soon_days:
        message = f"calibration of `{gauge.id}` is due {due}, asked for {on}"
        soon = "-soon" if days > DUE_NOW_DAYS else ""
        yield Raised(f"gauge.calibration-due{soon}", at, message, (gauge,))


def _at_pressure(setup: Setup) -> bool:
    return setup.target is not None and setup.target.finish == "at-pressure"


def _better(numbers: Pressing, gauge: Gauge) -> str:
    half_mpa = (numbers.high_mpa - numbers.low_mpa) / 2
    found = gauge_that_would_do(
        half_mpa, numbers.press_uncertainty_mpa, gauge.span, FACTOR[gauge.unit]
    )
    if found is None:
        return "no class of this span would do, take a gauge of less span or another press"
    class_percent, graduation = found
    return (
        f"class {class_percent:g} with a mark every {graduation:g} {gauge.unit} would do at "
        f"this span"
    )


def _dial(gauge: Gauge, mpa: float) -> str:
    return told(mpa, "MPa", gauge.unit)


GAUGE_RULES = (
    not_for_press,
    above_span,
    above_working_range,
    too_coarse,
    no_mark_in_window,
    window_cut_off,
    contact_beyond_limit,
    zero_unknown,
    calibration,
)
