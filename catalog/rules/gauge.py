"""Whether this gauge can show it: fit, span, class, marks, zero, calibration."""

from collections.abc import Iterator
from typing import Final

from msgspec import UNSET

from catalog.formulas.gauge import gauge_that_would_do, marks_in
from catalog.quantities import FACTOR, above
from catalog.rules.group import Group
from catalog.rules.raised import (
    Raised,
    at_the_most,
    force_limit,
    pressure,
    pressure_limit,
    told,
    tool_at,
)
from catalog.setup.pair import GaugeOnDay, PressAndGauge, Pressed
from catalog.setup.pressing import Pressing, Window, weakest

DUE_NOW_DAYS: Final = 7
"""Days before a due day from which on it is worth a caution, and no note alone."""


def not_for_press(pair: PressAndGauge) -> Iterator[Raised]:
    """A gauge belongs to the presses that list it."""
    press, gauge = pair.press, pair.gauge
    if gauge.id not in press.gauges:
        message = f"`{gauge.id}` is not for `{press.id}`, which takes {', '.join(press.gauges)}"
        yield Raised("gauge.not-for-press", "/gauge", message, (press,))


def above_span(p: Pressed) -> Iterator[Raised]:
    """The nominal reading must be on the dial."""
    if _is_beyond_dial(p.numbers):
        yield _above_span(p.numbers)


def above_working_range(p: Pressed) -> Iterator[Raised]:
    """From a share of its span on, a dial is beyond its steady working range."""
    numbers, gauge = p.numbers, p.numbers.gauge
    needed_mpa = numbers.nominal_mpa
    if numbers.stop_mpa is not None and numbers.contact is None:
        needed_mpa = numbers.stop_mpa
    limit_mpa = gauge.span_mpa * gauge.working_range_percent / 100
    if not above(limit_mpa, needed_mpa) and not above(needed_mpa, gauge.span_mpa):
        message = (
            f"the reading lies beyond the working range of `{gauge.id}`, which ends at "
            f"{told(limit_mpa, 'MPa', gauge.unit)} ({gauge.working_range_percent:g} % of span)"
        )
        yield Raised("gauge.above-working-range", "/gauge", message, (gauge,))


def too_coarse(p: Pressed) -> Iterator[Raised]:
    """Nothing is left of the force band once class, graduation and press are taken off."""
    numbers, gauge = p.numbers, p.numbers.gauge
    if numbers.contact is None and numbers.window.is_empty:
        message = f"`{gauge.id}` is too coarse for the force band: {_better(numbers)}"
        yield Raised("gauge.too-coarse", "/gauge", message, (gauge, numbers.target))


def no_mark_in_window(p: Pressed) -> Iterator[Raised]:
    """A window between two marks cannot be stopped in."""
    numbers, gauge = p.numbers, p.numbers.gauge
    # Before any limit cuts it: each of those has a finding of its own.
    if numbers.contact is not None or numbers.window.is_empty or _has_mark(numbers, numbers.window):
        return
    message = (
        f"no mark of `{gauge.id}` (every {gauge.graduation:g} {gauge.unit}) lies in the window: "
        f"{_better(numbers)}"
    )
    yield Raised("gauge.no-mark-in-window", "/gauge", message, (gauge, numbers.target))


def window_cut_off(p: Pressed) -> Iterator[Raised]:
    """A limit of press, gauge, relief or tooling that leaves no mark refuses the setup.

    Each is looked at alone, so that the relief hides no rating and no rating the relief.
    """
    numbers = p.numbers
    if numbers.contact is not None or not _has_mark(numbers, numbers.window):
        return
    if not _has_mark(numbers, numbers.window.up_to(numbers.relief_mpa)):
        setting = pressure(p, numbers.relief_mpa)
        message = f"relief of `{p.press.id}` is set to {setting}, below every mark of the window"
        yield Raised("press.relief-setting", "/press", message, (p.press,))
    if not _has_mark(numbers, numbers.window.up_to(numbers.never_exceed_mpa)):
        yield from _limited(p, "leaves no mark to stop at")


def contact_beyond_limit(p: Pressed) -> Iterator[Raised]:
    """A limit that is passed before contact is expected lets no ring be finished."""
    numbers = p.numbers
    if numbers.contact is not None and above(numbers.nominal_mpa, numbers.never_exceed_mpa):
        yield from _limited(p, "is passed before contact is expected")


def _has_mark(numbers: Pressing, window: Window) -> bool:
    graduation = numbers.gauge.graduation_mpa
    return marks_in(p_low=window.low_mpa, p_high=window.high_mpa, graduation=graduation) > 0


def _is_beyond_dial(numbers: Pressing) -> bool:
    """Whether the nominal reading is not on the dial; of a protected one its limit says so."""
    gauge = numbers.gauge
    return gauge.protected_to is None and above(numbers.nominal_mpa, gauge.span_mpa)


def _above_span(numbers: Pressing) -> Raised:
    gauge = numbers.gauge
    end = at_the_most(numbers.reach_mpa, "MPa", gauge.unit)
    message = f"the reading to press to is beyond the dial of `{gauge.id}`, limit {end}"
    return Raised("gauge.above-span", "/gauge", message, (gauge,))


def _limited(p: Pressed, what: str) -> Iterator[Raised]:
    """Refusal by whichever limit is the lowest; `what` it does to the pressing."""
    numbers, gauge = p.numbers, p.numbers.gauge
    limited_by, tool = numbers.limited_by, weakest(numbers.cone, numbers.plate)
    if limited_by == "dial" and gauge.protected_to is not None:
        yield _above_span(numbers)  # nobody else says so of a protected gauge
    elif _is_beyond_dial(numbers) or above(numbers.nominal_mpa, numbers.press_rated_mpa):
        return  # too much by itself, which has findings of its own
    elif limited_by == "tooling" and tool is not None:
        limit = f"limit of `{tool.id}` {force_limit(p, tool.rated_force_kn)}"
        message = f"less the guard, its rated force {what}, {limit}"
        yield Raised("tooling.force-rating", "/tooling", message, (tool,))
    elif limited_by == "dial":
        yield _above_span(numbers)
    elif limited_by == "press":
        limit = pressure_limit(p, numbers.press_rated_mpa)
        message = f"less the guard, the rating of `{p.press.id}` {what}, limit {limit}"
        yield Raised("press.too-small", "/press", message, (p.press,))
    else:
        message = f"less the guard of `{gauge.id}`, the ceiling {what}"
        yield Raised("gauge.too-coarse", "/gauge", message, (gauge, numbers.target))


def zero_unknown(today: GaugeOnDay) -> Iterator[Raised]:
    """A stop pin holds the pointer at zero even where the gauge reads wrong."""
    gauge, checked = today.gauge, today.state.gauge_zero_checked
    if checked is False or (gauge.stop_pin and checked is not True):
        why = "its stop pin may hide a shifted one" if gauge.stop_pin else "it was not checked"
        message = f"the zero of `{gauge.id}` is not known: {why}"
        yield Raised("gauge.zero-unknown", "/tool_state/gauge_zero_checked", message, (gauge,))


def calibration(today: GaugeOnDay) -> Iterator[Raised]:
    """A gauge is used up to its due day, and with a caution in the time before it."""
    gauge, due, on = today.gauge, today.state.gauge_calibration_due, today.day.on
    if due is UNSET:
        return
    if on is UNSET:
        if not today.is_day_required:
            message = f"calibration of `{gauge.id}` is due {due}, and the day is not stated"
            yield Raised("gauge.date-unknown", "/on", message, (gauge,))
        return
    at = tool_at(today.day, gauge.id, "calibration_due", "gauge_calibration_due")
    days = (due - on).days
    if days < 0:
        message = f"calibration of `{gauge.id}` was due {due}, before {on}"
        yield Raised("gauge.calibration-overdue", at, message, (gauge,))
    elif days <= gauge.due_soon_days:
        message = f"calibration of `{gauge.id}` is due {due}, asked for {on}"
        soon = "-soon" if days > DUE_NOW_DAYS else ""
        yield Raised(f"gauge.calibration-due{soon}", at, message, (gauge,))


def _better(numbers: Pressing) -> str:
    gauge, half_mpa = numbers.gauge, (numbers.high_mpa - numbers.low_mpa) / 2
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


CALIBRATION_RULES = (Group(GaugeOnDay, (calibration,)),)
"""What a day adds to a pair that was tried before without one."""

GAUGE_RULES = (
    Group(PressAndGauge, (not_for_press,), lasting=True),
    Group(
        Pressed,
        (
            above_span,
            above_working_range,
            too_coarse,
            no_mark_in_window,
            window_cut_off,
            contact_beyond_limit,
        ),
        lasting=True,
    ),
    Group(GaugeOnDay, (zero_unknown,)),
    *CALIBRATION_RULES,
)
