"""Whether the reading that the fitter means to press to is the right one."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.figures import DIGITS, DUST_FREE, at_least, at_most, digits_apart, figure
from catalog.formulas.gauge import pascals
from catalog.quantities import FACTOR, Pressure, above, in_mpa, quantity
from catalog.questions import SetupCheckQuestion
from catalog.rows import Target
from catalog.rules.raised import Raised, at_the_most, told
from catalog.setup.pressing import Pressing, Window
from catalog.setup.resolving import Setup

_INTENDED = "/intended_reading"
_CONTACT = "/contact_reading"


def reading_missing(setup: Setup) -> Iterator[Raised]:
    """A ring finished at pressure needs a reading to press to; contact is a finish of its own."""
    if not isinstance(setup.question, SetupCheckQuestion) or _intended(setup) is not None:
        return
    # The ring set says how it is finished before any target is found.
    ring, target = setup.fitting.ring, setup.target
    finish = ring.finish if target is None and ring is not None else target and target.finish
    if finish != "at-contact":
        message = "intended reading is not stated"
        yield Raised("press.reading-missing", _INTENDED, message, (), _asked(setup, message))


def reading_unit(setup: Setup) -> Iterator[Raised]:
    """A reading in another unit than the dial's invites a slip: it is told on the dial's scale."""
    for at, reading in _readings(setup):
        gauge = setup.gauge
        if gauge is not None and reading.unit != gauge.unit:
            message = f"{_as_stated(reading)} on a dial in {gauge.unit}"
            with_dial = ""
            if at == _INTENDED:
                on_dial = quantity(in_mpa(reading), "MPa", gauge.unit).value
                shown = f"{figure(on_dial, _digits(setup))} {gauge.unit}"
                with_dial = _asked(setup, f"{message}: on its scale this is {shown}")
            yield Raised("press.reading-unit", at, message, (gauge,), with_dial)


def outside_window(setup: Setup) -> Iterator[Raised]:
    """The intended reading must lie in the dial window, its ends included."""
    numbers, target, reading = setup.pressing, setup.target, _intended(setup)
    if numbers is None or target is None or reading is None or target.finish != "at-pressure":
        return
    window = numbers.usable
    if window.is_empty or not window.holds(in_mpa(reading)):
        message = f"intended reading {_as_stated(reading)} is outside the window"
        with_dial = _asked(setup, message)
        yield Raised("press.outside-window", _INTENDED, message, (target,), with_dial)


def short_of_contact(setup: Setup) -> Iterator[Raised]:
    """Contact is the finish: a reading below it leaves the ring half pressed."""
    numbers, gauge, target = setup.pressing, setup.gauge, setup.target
    reading = _intended(setup)
    if numbers is None or gauge is None or target is None or reading is None:
        return
    if numbers.contact is not None and above(numbers.contact.high_mpa, in_mpa(reading)):
        message = (
            f"intended reading {_as_stated(reading)}, but the ring is finished at contact: leave "
            "it out and stop when the nut meets the cone"
        )
        most = at_the_most(numbers.contact.high_mpa, "MPa", gauge.unit)
        with_dial = f"{message}, which may come as late as {most}"
        yield Raised("press.outside-window", _INTENDED, message, (target,), with_dial)


def between_graduations(setup: Setup) -> Iterator[Raised]:
    """A reading between two marks, inside the window, is guessed by eye."""
    numbers, gauge, target = setup.pressing, setup.gauge, setup.target
    reading = _intended(setup)
    if numbers is None or gauge is None or target is None or reading is None:
        return
    mpa, step_mpa = in_mpa(reading), gauge.graduation_mpa
    on_a_mark = pascals(round(mpa / step_mpa) * step_mpa) == pascals(mpa)
    if numbers.contact is None and not on_a_mark and numbers.usable.holds(mpa):
        message = (
            f"{_as_stated(reading)} lies between two marks of `{gauge.id}` (every "
            f"{gauge.graduation:g} {gauge.unit})"
        )
        yield Raised("press.between-graduations", _INTENDED, "", (gauge,), message)


def above_ceiling(setup: Setup) -> Iterator[Raised]:
    """Beyond the limit of pressing the ring is crushed or a tool breaks."""
    numbers, gauge, target = setup.pressing, setup.gauge, setup.target
    if numbers is None or gauge is None or target is None:
        return
    for at, reading in _readings(setup):
        over_mpa = in_mpa(reading) - numbers.never_exceed_mpa
        if not above(in_mpa(reading), numbers.never_exceed_mpa):
            continue
        if at == _CONTACT:
            over = told(over_mpa, "MPa", gauge.unit)
            where = "above what must never be exceeded"
            yield _off("press.above-ceiling", over, where, target)
        else:
            limit = at_the_most(numbers.never_exceed_mpa, "MPa", gauge.unit)
            message = f"{_as_stated(reading)} is more than must ever be reached"
            with_dial = f"{_as_stated(reading)}, never exceed {limit}"
            yield Raised("press.above-ceiling", at, message, (target,), with_dial)


def above_press_rating(setup: Setup) -> Iterator[Raised]:
    """A reading beyond the press's rated pressure."""
    press = setup.press
    if press is None:
        return
    for at, reading in _readings(setup):
        rated_mpa = press.rated_pressure_bar * FACTOR["bar"]
        if above(in_mpa(reading), rated_mpa):
            message = (
                f"{_as_stated(reading)}, rating of `{press.id}` "
                f"{at_the_most(rated_mpa, 'MPa', reading.unit)}"
            )
            yield Raised("press.above-press-rating", at, message, (press,))


def reading_above_span(setup: Setup) -> Iterator[Raised]:
    """A reading beyond the end of the dial."""
    gauge = setup.gauge
    if gauge is None:
        return
    for at, reading in _readings(setup):
        if above(in_mpa(reading), gauge.span_mpa):
            message = f"{_as_stated(reading)}, span of `{gauge.id}` {gauge.span:g} {gauge.unit}"
            yield Raised("gauge.above-span", at, message, (gauge,))


def contact_not_as_expected(setup: Setup) -> Iterator[Raised]:
    """Contact far below or above the expected force: ring, tube end and stop must be looked at.

    A ring that is finished at a pressure may meet the cone early, but not beyond its window.
    """
    numbers, gauge, target = setup.pressing, setup.gauge, setup.target
    if numbers is None or gauge is None or target is None:
        return
    for at, reading in _readings(setup):
        if at != _CONTACT or _contact_checked(setup):
            continue
        mpa = in_mpa(reading)
        expected = numbers.contact or Window(0.0, numbers.usable.high_mpa)
        if above(expected.low_mpa, mpa):
            away = told(expected.low_mpa - mpa, "MPa", gauge.unit)
            where = "below the least that is expected"
            yield _off("press.contact-too-easy", away, where, target)
        elif above(mpa, expected.high_mpa):
            away = told(mpa - expected.high_mpa, "MPa", gauge.unit)
            where = "above the most that is expected"
            yield _off("press.contact-too-hard", away, where, target)


def reading_psi_as_bar(setup: Setup) -> Iterator[Raised]:
    """A reading beyond the dial that would be on it in psi was read off the other scale.

    Judged by the dial alone, since what fits the window would give the window away.
    """
    gauge, reading = setup.gauge, _intended(setup)
    if gauge is None or reading is None or reading.unit == "psi":
        return
    as_psi_mpa = reading.value * FACTOR["psi"]
    if above(in_mpa(reading), gauge.span_mpa) and not above(as_psi_mpa, gauge.span_mpa):
        message = f"was {_as_stated(reading)} read off a scale in psi"
        yield Raised("hint.psi-as-bar", _INTENDED, message, (gauge,))


def _off(code: str, away: str, where: str, target: Target) -> Raised:
    """A contact that is off: by how much is told where nothing else refuses."""
    met = "the nut met the cone"
    return Raised(code, _CONTACT, f"{met} {where}", (target,), f"{met} {away} {where}")


def _as_stated(reading: Pressure) -> str:
    """Reading in the caller's own unit: on another scale it would be a number of the dial."""
    return f"{figure(reading.value, DUST_FREE)} {reading.unit}"


def _asked(setup: Setup, message: str) -> str:
    """Message with window and mark, which is what is asked where the reading alone is open.

    INVARIANT: rounding never widens the window, and leaves the reading on its side of each end.
    """
    numbers = setup.pressing
    if numbers is None or numbers.stop_mpa is None or numbers.contact is not None:
        return message
    low, high = _window(numbers)
    digits, unit = _digits(setup), numbers.gauge.unit
    stop = quantity(numbers.stop_mpa, "MPa", unit).value
    return (
        f"{message}: window {at_least(low, digits)} {unit} to {at_most(high, digits)} {unit}, "
        f"stop at {stop:g} {unit}"
    )


def _digits(setup: Setup) -> int:
    """Digits that keep the intended reading and the mark to stop at on their side of each end."""
    numbers, reading = setup.pressing, _intended(setup)
    if numbers is None:
        return DIGITS
    stated = None if reading is None else in_mpa(reading)
    beside = [
        quantity(mpa, "MPa", numbers.gauge.unit).value
        for mpa in (numbers.stop_mpa, stated)
        if mpa is not None
    ]
    return digits_apart(*_window(numbers), beside)


def _window(numbers: Pressing) -> tuple[float, float]:
    """Ends of the window in the unit of the dial."""
    unit, window = numbers.gauge.unit, numbers.usable
    return quantity(window.low_mpa, "MPa", unit).value, quantity(window.high_mpa, "MPa", unit).value


def _contact_checked(setup: Setup) -> bool:
    question = setup.question
    return isinstance(question, SetupCheckQuestion) and question.contact_checked is True


def _intended(setup: Setup) -> Pressure | None:
    question = setup.question
    if isinstance(question, SetupCheckQuestion) and question.intended_reading is not UNSET:
        return question.intended_reading
    return None


def _readings(setup: Setup) -> Iterator[tuple[str, Pressure]]:
    question = setup.question
    if isinstance(question, SetupCheckQuestion):
        if question.intended_reading is not UNSET:
            yield _INTENDED, question.intended_reading
        if question.contact_reading is not UNSET:
            yield _CONTACT, question.contact_reading


READING_RULES = (
    reading_missing,
    reading_unit,
    above_ceiling,
    outside_window,
    short_of_contact,
    between_graduations,
    above_press_rating,
    reading_above_span,
    contact_not_as_expected,
    reading_psi_as_bar,
)
