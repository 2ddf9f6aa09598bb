"""Whether this press can do it: pressure, relief setting, oil."""

from collections.abc import Iterator

from catalog.quantities import FACTOR, above
from catalog.rules.raised import Raised, pressure, told
from catalog.setup.resolving import Setup


def stop_mpa(setup: Setup) -> float | None:
    """Pressure that the press is asked for: the mark to stop at, else the nominal reading."""
    if setup.pressing is None:
        return None
    stop, gauge = setup.pressing.stop_at, setup.gauge
    if stop is None or gauge is None or setup.target is None:
        return setup.pressing.nominal_mpa
    if setup.target.finish == "at-contact":
        return setup.pressing.nominal_mpa
    return stop * FACTOR[gauge.unit]


def too_small(setup: Setup) -> Iterator[Raised]:
    """The nominal force must be within the press's rated pressure."""
    numbers, press = setup.pressing, setup.press
    if numbers is None or press is None:
        return
    if above(numbers.nominal_mpa, numbers.press_rated_mpa):
        message = (
            f"needs {pressure(setup, numbers.nominal_mpa)} on `{press.id}`, limit "
            f"{pressure(setup, numbers.press_rated_mpa)}"
        )
        yield Raised("press.too-small", "/press", message, (press,))


def relief_setting(setup: Setup) -> Iterator[Raised]:
    """A relief set below the stop mark opens too soon, one above the rating too late."""
    press, needed_mpa = setup.press, stop_mpa(setup)
    if press is None:
        return
    relief_mpa = press.relief_setting_bar * FACTOR["bar"]
    if press.relief_setting_bar > press.rated_pressure_bar:
        rated_mpa = press.rated_pressure_bar * FACTOR["bar"]
        message = (
            f"relief of `{press.id}` is set to {pressure(setup, relief_mpa)}, limit its rating "
            f"{pressure(setup, rated_mpa)}"
        )
        yield Raised("press.relief-setting", "/press", message, (press,))
    elif needed_mpa is not None and above(needed_mpa, relief_mpa):
        message = (
            f"relief of `{press.id}` is set to {pressure(setup, relief_mpa)}, below the reading "
            f"to stop at {pressure(setup, needed_mpa)}"
        )
        yield Raised("press.relief-setting", "/press", message, (press,))


def relief_above_span(setup: Setup) -> Iterator[Raised]:
    """A relief set above the gauge's span does not protect the gauge."""
    press, gauge = setup.press, setup.gauge
    if press is None or gauge is None:
        return
    relief_mpa = press.relief_setting_bar * FACTOR["bar"]
    if above(relief_mpa, gauge.span_mpa):
        span = told(gauge.span_mpa, "MPa", gauge.unit)
        message = (
            f"relief of `{press.id}` is set to {told(relief_mpa, 'MPa', gauge.unit)}, above the "
            f"span {span} of `{gauge.id}`: only the hand on the pump protects the gauge"
        )
        yield Raised("press.relief-above-span", "/gauge", message, (press, gauge))


def too_little_oil(setup: Setup) -> Iterator[Raised]:
    """The ram's full stroke must not take more oil than the pump holds."""
    numbers, press = setup.pressing, setup.press
    if numbers is None or press is None:
        return
    usable_mm3 = press.usable_oil_cm3 * FACTOR["cm3"]
    if above(numbers.oil_volume_mm3, usable_mm3):
        message = (
            f"the full stroke of `{press.id}` takes {told(numbers.oil_volume_mm3, 'mm3', 'cm3')} "
            f"of oil, limit {told(usable_mm3, 'mm3', 'cm3')}"
        )
        yield Raised("press.too-little-oil", "/press", message, (press,))


PRESS_RULES = (too_small, relief_setting, relief_above_span, too_little_oil)
