"""Whether this gauge can show it: fit, span, class, marks, zero, calibration."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.calc.dial import gauge_that_would_do
from catalog.calc.gauge import Window
from catalog.quantities import PA_PER_UNIT, above
from catalog.rows import Gauge, Press
from catalog.rules.press import stop_mpa
from catalog.rules.raised import Raised, told
from catalog.setup.pressing import Pressing, weakest
from catalog.setup.resolving import Setup


def not_for_press(setup: Setup) -> Iterator[Raised]:
    """A gauge belongs to the presses that list it."""
    press, gauge = setup.press, setup.gauge
    if press is not None and gauge is not None and gauge.id not in press.gauges:
        message = f"`{gauge.id}` is not for `{press.id}`, which takes {', '.join(press.gauges)}"
        yield Raised("gauge.not-for-press", "/gauge", message, (press,))


def above_span(setup: Setup) -> Iterator[Raised]:
    """The nominal reading must be on the dial."""
    numbers, gauge = setup.pressing, setup.gauge
    if numbers is None or gauge is None:
        return
    if above(numbers.nominal_mpa, gauge.span_mpa):
        message = f"needs {_dial(gauge, numbers.nominal_mpa)}, span of `{gauge.id}` {_span(gauge)}"
        yield Raised("gauge.above-span", "/gauge", message, (gauge,))


def above_working_range(setup: Setup) -> Iterator[Raised]:
    """From a share of its span on, a dial is beyond its steady working range."""
    needed_mpa, gauge = stop_mpa(setup), setup.gauge
    if needed_mpa is None or gauge is None:
        return
    limit_mpa = gauge.span_mpa * gauge.working_range_percent / 100
    if not above(limit_mpa, needed_mpa) and not above(needed_mpa, gauge.span_mpa):
        message = (
            f"stops at {_dial(gauge, needed_mpa)}, working range of `{gauge.id}` ends at "
            f"{_dial(gauge, limit_mpa)} ({gauge.working_range_percent:g} % of span)"
        )
        yield Raised("gauge.above-working-range", "/gauge", message, (gauge,))


def too_coarse(setup: Setup) -> Iterator[Raised]:
    """Nothing is left of the force band once class, graduation and press are taken off."""
    numbers, gauge = setup.pressing, setup.gauge
    if numbers is None or gauge is None or not _at_pressure(setup):
        return
    if numbers.window.is_empty:
        half_mpa = (numbers.high_mpa - numbers.low_mpa) / 2
        message = (
            f"guard {_dial(gauge, numbers.guard_mpa)} of `{gauge.id}` leaves nothing of "
            f"+-{_dial(gauge, half_mpa)}: {_better(numbers, gauge)}"
        )
        yield Raised("gauge.too-coarse", "/gauge", message, (gauge,))


def no_mark_in_window(setup: Setup) -> Iterator[Raised]:
    """A window between two marks cannot be stopped in."""
    numbers, gauge = setup.pressing, setup.gauge
    if numbers is None or gauge is None or not _at_pressure(setup) or numbers.window.is_empty:
        return
    # Where press, span or tooling cut the window, their own finding says so.
    if numbers.stop_at is None and numbers.usable == numbers.window:
        message = (
            f"no mark of `{gauge.id}` (every {gauge.graduation:g} {gauge.unit}) lies in "
            f"{_window(gauge, numbers.window)}: {_better(numbers, gauge)}"
        )
        yield Raised("gauge.no-mark-in-window", "/gauge", message, (gauge,))


def window_cut_off(setup: Setup) -> Iterator[Raised]:
    """A limit of press, gauge or tooling that leaves no mark to stop at refuses the setup."""
    numbers, gauge, press = setup.pressing, setup.gauge, setup.press
    if numbers is None or gauge is None or press is None or not _at_pressure(setup):
        return
    if numbers.window.is_empty or numbers.stop_at is not None or numbers.usable == numbers.window:
        return
    if _beyond_press_or_dial(numbers, gauge):
        return
    limit = _dial(gauge, numbers.never_exceed_mpa)
    message = f"{_window(gauge, numbers.window)} has no mark below the limit {limit}"
    yield _cut_off_by(setup, numbers, gauge, press, message)


def contact_beyond_limit(setup: Setup) -> Iterator[Raised]:
    """A contact that is expected only at the limit of pressing, or beyond it, is never reached."""
    numbers, gauge, press = setup.pressing, setup.gauge, setup.press
    if numbers is None or gauge is None or press is None or setup.target is None:
        return
    if _at_pressure(setup) or _beyond_press_or_dial(numbers, gauge):
        return
    if not above(numbers.never_exceed_mpa, numbers.nominal_mpa):
        message = (
            f"contact is expected at {_dial(gauge, numbers.nominal_mpa)}, never exceed "
            f"{_dial(gauge, numbers.never_exceed_mpa)}"
        )
        yield _cut_off_by(setup, numbers, gauge, press, message)


def _beyond_press_or_dial(numbers: Pressing, gauge: Gauge) -> bool:
    """Whether the nominal reading alone is too much, which has findings of its own."""
    return above(numbers.nominal_mpa, numbers.press_rated_mpa) or above(
        numbers.nominal_mpa, gauge.span_mpa
    )


def _cut_off_by(
    setup: Setup, numbers: Pressing, gauge: Gauge, press: Press, message: str
) -> Raised:
    """Refusal by whichever limit is the least: tooling, dial, press, else the guarded ceiling."""
    limit_mpa = numbers.never_exceed_mpa
    tool = weakest(setup.cone, setup.plate)
    if tool is not None and limit_mpa == numbers.tooling_mpa:
        return Raised("tooling.force-rating", "/tooling", message, (tool,))
    if limit_mpa == gauge.span_mpa:
        return Raised("gauge.above-span", "/gauge", message, (gauge,))
    if limit_mpa == numbers.press_rated_mpa:
        return Raised("press.too-small", "/press", message, (press,))
    rows = (gauge,) if setup.target is None else (gauge, setup.target)
    return Raised("gauge.too-coarse", "/gauge", message, rows)


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
    due, on, gauge = setup.tool_state.gauge_calibration_due, setup.on, setup.gauge
    at = "/tool_state/gauge_calibration_due"
    if gauge is None or due is UNSET or on is UNSET:
        return
    days = (due - on).days
    if days < 0:
        message = f"calibration of `{gauge.id}` was due {due}, {-days} days before {on}"
        yield Raised("gauge.calibration-overdue", at, message, (gauge,))
    elif days <= gauge.due_soon_days:
        message = f"calibration of `{gauge.id}` is due {due}, in {days} days"
        yield Raised("gauge.calibration-due", at, message, (gauge,))


def _at_pressure(setup: Setup) -> bool:
    return setup.target is not None and setup.target.finish == "at-pressure"


def _better(numbers: Pressing, gauge: Gauge) -> str:
    half_mpa = (numbers.high_mpa - numbers.low_mpa) / 2
    found = gauge_that_would_do(
        half_mpa, numbers.press_uncertainty_mpa, gauge.span, PA_PER_UNIT[gauge.unit]
    )
    if found is None:
        return "no class of this span would do, take a gauge of less span or another press"
    class_percent, graduation = found
    return (
        f"class {class_percent:g} with a mark every {graduation:g} {gauge.unit} would do at "
        f"this span"
    )


def _window(gauge: Gauge, window: Window) -> str:
    low, high = window.low_pa / 1e6, window.high_pa / 1e6
    return f"the window {told(low, 'MPa', gauge.unit)} to {_dial(gauge, high)}"


def _dial(gauge: Gauge, mpa: float) -> str:
    return told(mpa, "MPa", gauge.unit)


def _span(gauge: Gauge) -> str:
    return f"{gauge.span:g} {gauge.unit}"


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
