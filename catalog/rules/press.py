"""Whether this press can do it: pressure, relief setting, oil."""

from collections.abc import Iterator

from catalog.quantities import FACTOR, above
from catalog.rules.raised import Raised, at_the_most, force_limit, pressure, pressure_limit, told
from catalog.setup.pressing import is_protected, overload_of
from catalog.setup.resolving import Setup


def too_small(setup: Setup) -> Iterator[Raised]:
    """The nominal force must be within the press's rated pressure."""
    numbers, press = setup.pressing, setup.press
    if numbers is None or press is None:
        return
    if above(numbers.nominal_mpa, numbers.press_rated_mpa):
        limit = pressure_limit(setup, numbers.press_rated_mpa)
        message = f"the force is beyond `{press.id}`, limit {limit}"
        yield Raised("press.too-small", "/press", message, (press,))


def relief_setting(setup: Setup) -> Iterator[Raised]:
    """A relief set too low opens before the ring is finished, one above the rating too late."""
    press = setup.press
    if press is None:
        return
    relief_mpa = press.relief_setting_bar * FACTOR["bar"]
    setting = f"relief of `{press.id}` is set to {pressure(setup, relief_mpa)}"
    needed_mpa = _least_relief_mpa(setup)
    if press.relief_setting_bar > press.rated_pressure_bar:
        rated_mpa = press.rated_pressure_bar * FACTOR["bar"]
        message = f"{setting}, limit its rating {pressure_limit(setup, rated_mpa)}"
        yield Raised("press.relief-setting", "/press", message, (press,))
    elif needed_mpa is not None and above(needed_mpa, relief_mpa):
        message = f"{setting}, too low for this ring on this gauge"
        yield Raised("press.relief-setting", "/press", message, (press,))


def _least_relief_mpa(setup: Setup) -> float | None:
    """Least setting that lets a ring be finished: a graduation above the mark to stop at.

    At contact the upper end of the readings at which it is expected, before any limit cuts them.
    """
    numbers = setup.pressing
    if numbers is None:
        return None
    if numbers.contact is not None:
        return numbers.high_mpa
    return None if numbers.stop_mpa is None else numbers.stop_mpa + numbers.gauge.graduation_mpa


def relief_above_span(setup: Setup) -> Iterator[Raised]:
    """A relief set above the gauge's span does not protect the gauge, unless a protector does.

    A protector that closes beyond what the gauge survives protects nothing.
    """
    press, gauge = setup.press, setup.gauge
    if press is None or gauge is None:
        return
    relief_mpa = press.relief_setting_bar * FACTOR["bar"]
    setting = f"relief of `{press.id}` is set to {told(relief_mpa, 'MPa', gauge.unit)}"
    if gauge.protected_to is not None and is_protected(gauge):
        if above(relief_mpa, gauge.protected_to * FACTOR[gauge.unit]):
            message = (
                f"{setting}: the protector of `{gauge.id}` closes at {gauge.protected_to:g} "
                f"{gauge.unit}, and its pointer stops there"
            )
            yield Raised("gauge.protected", "/gauge", message, (press, gauge))
        return
    overload_mpa = overload_of(gauge)
    if above(relief_mpa, overload_mpa):
        limit = at_the_most(overload_mpa, "MPa", gauge.unit)
        message = f"{setting}, limit of what `{gauge.id}` survives {limit}"
        yield Raised("press.relief-far-above-span", "/gauge", message, (press, gauge))
    elif above(relief_mpa, gauge.span_mpa):
        span = told(gauge.span_mpa, "MPa", gauge.unit)
        message = (
            f"{setting}, above the span {span} of `{gauge.id}`: only the hand on the pump protects "
            "the gauge"
        )
        yield Raised("press.relief-above-span", "/gauge", message, (press, gauge))


def relief_above_force_rating(setup: Setup) -> Iterator[Raised]:
    """A press whose relief lets it load a tool beyond its rating is stopped by the hand alone."""
    numbers, press = setup.pressing, setup.press
    if numbers is None or press is None:
        return
    for tool, at in ((setup.cone, "/tooling/cone"), (setup.plate, "/tooling/plate")):
        if tool is not None and above(numbers.relief_force_kn, tool.rated_force_kn):
            message = (
                f"up to its relief `{press.id}` can load `{tool.id}` beyond its rated force, limit "
                f"{force_limit(setup, tool.rated_force_kn)}"
            )
            yield Raised("tooling.relief-above-force-rating", at, message, (press, tool))


def too_little_oil(setup: Setup) -> Iterator[Raised]:
    """The ram's full stroke must not take more oil than the pump holds."""
    numbers, press = setup.pressing, setup.press
    if numbers is None or press is None:
        return
    usable_mm3 = press.usable_oil_cm3 * FACTOR["cm3"]
    if above(numbers.oil_volume_mm3, usable_mm3):
        message = (
            f"the full stroke of `{press.id}` takes more oil than its pump holds, limit "
            f"{told(usable_mm3, 'mm3', 'cm3')}"
        )
        yield Raised("press.too-little-oil", "/press", message, (press,))


PRESS_RULES = (
    too_small,
    relief_setting,
    relief_above_span,
    relief_above_force_rating,
    too_little_oil,
)
