"""Whether this press can do it: pressure, relief setting, oil."""

from collections.abc import Iterator

from catalog.quantities import FACTOR, above
from catalog.rules.group import Group
from catalog.rules.raised import Raised, at_the_most, force_limit, pressure, pressure_limit, told
from catalog.setup.pair import OnPress, PressAndGauge, Pressed
from catalog.setup.pressing import is_protected, overload_of


def too_small(p: Pressed) -> Iterator[Raised]:
    """The nominal force must be within the press's rated pressure."""
    numbers, press = p.numbers, p.press
    if above(numbers.nominal_mpa, numbers.press_rated_mpa):
        limit = pressure_limit(p, numbers.press_rated_mpa)
        message = f"the force is beyond `{press.id}`, limit {limit}"
        yield Raised("press.too-small", "/press", message, (press,))


def relief_too_low(p: Pressed) -> Iterator[Raised]:
    """A relief set too low opens before the ring is finished.

    It must be a graduation above the mark to stop at, at contact the upper end of the readings at
    which contact is expected, before any limit cuts them.
    """
    numbers, press = p.numbers, p.press
    if numbers.contact is not None:
        needed_mpa: float = numbers.high_mpa
    elif numbers.stop_mpa is not None:
        needed_mpa = numbers.stop_mpa + numbers.gauge.graduation_mpa
    else:
        return
    if above(needed_mpa, numbers.relief_mpa) and not _is_above_rating(p):
        message = (
            f"relief of `{press.id}` is set to {pressure(p, numbers.relief_mpa)}, too low for this "
            "ring on this gauge"
        )
        yield Raised("press.relief-setting", "/press", message, (press,))


def relief_above_rating(on: OnPress) -> Iterator[Raised]:
    """A relief set above the rating of the press opens too late."""
    press = on.press
    if _is_above_rating(on):
        setting = pressure(on, press.relief_setting_bar * FACTOR["bar"])
        limit = pressure_limit(on, press.rated_pressure_bar * FACTOR["bar"])
        message = f"relief of `{press.id}` is set to {setting}, limit its rating {limit}"
        yield Raised("press.relief-setting", "/press", message, (press,))


def _is_above_rating(on: OnPress) -> bool:
    return on.press.relief_setting_bar > on.press.rated_pressure_bar


def relief_above_span(pair: PressAndGauge) -> Iterator[Raised]:
    """A relief set above the gauge's span does not protect the gauge, unless a protector does.

    A protector that closes beyond what the gauge survives protects nothing.
    """
    press, gauge = pair.press, pair.gauge
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


def relief_above_force_rating(p: Pressed) -> Iterator[Raised]:
    """A press whose relief lets it load a tool beyond its rating is stopped by the hand alone."""
    numbers = p.numbers
    for tool, at in ((numbers.cone, "/tooling/cone"), (numbers.plate, "/tooling/plate")):
        if tool is not None and above(numbers.relief_force_kn, tool.rated_force_kn):
            message = (
                f"up to its relief `{p.press.id}` can load `{tool.id}` beyond its rated force, "
                f"limit {force_limit(p, tool.rated_force_kn)}"
            )
            yield Raised("tooling.relief-above-force-rating", at, message, (p.press, tool))


def too_little_oil(p: Pressed) -> Iterator[Raised]:
    """The ram's full stroke must not take more oil than the pump holds."""
    usable_mm3 = p.press.usable_oil_cm3 * FACTOR["cm3"]
    if above(p.numbers.oil_volume_mm3, usable_mm3):
        message = (
            f"the full stroke of `{p.press.id}` takes more oil than its pump holds, limit "
            f"{told(usable_mm3, 'mm3', 'cm3')}"
        )
        yield Raised("press.too-little-oil", "/press", message, (p.press,))


PRESS_RULES = (
    Group(Pressed, (too_small, relief_too_low), lasting=True),
    Group(OnPress, (relief_above_rating,), lasting=True),
    Group(PressAndGauge, (relief_above_span,), lasting=True),
    Group(Pressed, (relief_above_force_rating, too_little_oil), lasting=True),
)
