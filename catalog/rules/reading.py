"""Whether the reading that the fitter means to press to is the right one."""

from collections.abc import Iterator

from catalog.figures import DIGITS, DUST_FREE, at_least, at_most, digits_apart, figure
from catalog.formulas.gauge import pascals
from catalog.quantities import FACTOR, Pressure, above, in_mpa, quantity
from catalog.rules.group import Group
from catalog.rules.raised import Raised, at_the_most, told
from catalog.setup.pressing import Pressing, Window
from catalog.setup.reading import CONTACT, INTENDED, ReadOnDial, StatedReadings


def reading_missing(read: StatedReadings) -> Iterator[Raised]:
    """A ring finished at pressure needs a reading to press to; contact is a finish of its own."""
    if read.intended is None and read.finish != "at-contact":
        message = "intended reading is not stated"
        yield Raised("press.reading-missing", INTENDED, message, (), _asked(read, message))


def reading_unit(read: StatedReadings) -> Iterator[Raised]:
    """A reading in another unit than the dial's invites a slip: it is told on the dial's scale."""
    gauge = read.gauge
    for at, reading in read.stated:
        if gauge is not None and reading.unit != gauge.unit:
            message = f"{_as_stated(reading)} on a dial in {gauge.unit}"
            with_dial = ""
            if at == INTENDED:
                on_dial = quantity(in_mpa(reading), "MPa", gauge.unit).value
                shown = f"{figure(on_dial, _digits(read))} {gauge.unit}"
                with_dial = _asked(read, f"{message}: on its scale this is {shown}")
            yield Raised("press.reading-unit", at, message, (gauge,), with_dial)


def above_ceiling(read: ReadOnDial) -> Iterator[Raised]:
    """Beyond the limit of pressing the ring is crushed or a tool breaks."""
    numbers, unit = read.numbers, read.numbers.gauge.unit
    for at, reading in read.stated:
        over_mpa = in_mpa(reading) - numbers.never_exceed_mpa
        if not above(in_mpa(reading), numbers.never_exceed_mpa):
            continue
        if at == CONTACT:
            over = told(over_mpa, "MPa", unit)
            yield _off("press.above-ceiling", over, "above what must never be exceeded", numbers)
        else:
            limit = at_the_most(numbers.never_exceed_mpa, "MPa", unit)
            message = f"{_as_stated(reading)} is more than must ever be reached"
            with_dial = f"{_as_stated(reading)}, never exceed {limit}"
            yield Raised("press.above-ceiling", at, message, (numbers.target,), with_dial)


def outside_window(read: ReadOnDial) -> Iterator[Raised]:
    """The intended reading must lie in the dial window, its ends included."""
    numbers, reading = read.numbers, read.intended
    if reading is None or numbers.contact is not None:
        return
    if numbers.usable.is_empty or not numbers.usable.holds(in_mpa(reading)):
        message = f"intended reading {_as_stated(reading)} is outside the window"
        with_dial = _asked(read, message)
        yield Raised("press.outside-window", INTENDED, message, (numbers.target,), with_dial)


def short_of_contact(read: ReadOnDial) -> Iterator[Raised]:
    """Contact is the finish: a reading below it leaves the ring half pressed."""
    numbers, reading = read.numbers, read.intended
    if reading is None or numbers.contact is None:
        return
    if above(numbers.contact.high_mpa, in_mpa(reading)):
        message = (
            f"intended reading {_as_stated(reading)}, but the ring is finished at contact: leave "
            "it out and stop when the nut meets the cone"
        )
        most = at_the_most(numbers.contact.high_mpa, "MPa", numbers.gauge.unit)
        with_dial = f"{message}, which may come as late as {most}"
        yield Raised("press.outside-window", INTENDED, message, (numbers.target,), with_dial)


def between_graduations(read: ReadOnDial) -> Iterator[Raised]:
    """A reading between two marks, inside the window, is guessed by eye."""
    numbers, gauge = read.numbers, read.numbers.gauge
    if read.intended is None or numbers.contact is not None:
        return
    mpa, step_mpa = in_mpa(read.intended), gauge.graduation_mpa
    on_a_mark = pascals(round(mpa / step_mpa) * step_mpa) == pascals(mpa)
    if not on_a_mark and numbers.usable.holds(mpa):
        message = (
            f"{_as_stated(read.intended)} lies between two marks of `{gauge.id}` (every "
            f"{gauge.graduation:g} {gauge.unit})"
        )
        yield Raised("press.between-graduations", INTENDED, "", (gauge,), message)


def above_press_rating(read: StatedReadings) -> Iterator[Raised]:
    """A reading beyond the press's rated pressure."""
    press = read.press
    if press is None:
        return
    rated_mpa = press.rated_pressure_bar * FACTOR["bar"]
    for at, reading in read.stated:
        if above(in_mpa(reading), rated_mpa):
            limit = at_the_most(rated_mpa, "MPa", reading.unit)
            message = f"{_as_stated(reading)}, rating of `{press.id}` {limit}"
            yield Raised("press.above-press-rating", at, message, (press,))


def reading_above_span(read: StatedReadings) -> Iterator[Raised]:
    """A reading beyond the end of the dial."""
    gauge = read.gauge
    for at, reading in read.stated:
        if gauge is not None and above(in_mpa(reading), gauge.span_mpa):
            message = f"{_as_stated(reading)}, span of `{gauge.id}` {gauge.span:g} {gauge.unit}"
            yield Raised("gauge.above-span", at, message, (gauge,))


def contact_not_as_expected(read: ReadOnDial) -> Iterator[Raised]:
    """Contact far below or above the expected force: ring, tube end and stop must be looked at.

    A ring that is finished at a pressure may meet the cone early, but not beyond its window.
    """
    numbers, unit = read.numbers, read.numbers.gauge.unit
    if read.contact is None or read.contact_checked:
        return
    mpa = in_mpa(read.contact)
    expected = numbers.contact or Window(0.0, numbers.usable.high_mpa)
    if above(expected.low_mpa, mpa):
        away = told(expected.low_mpa - mpa, "MPa", unit)
        yield _off("press.contact-too-easy", away, "below the least that is expected", numbers)
    elif above(mpa, expected.high_mpa):
        away = told(mpa - expected.high_mpa, "MPa", unit)
        yield _off("press.contact-too-hard", away, "above the most that is expected", numbers)


def reading_psi_as_bar(read: StatedReadings) -> Iterator[Raised]:
    """A reading beyond the dial that would be on it in psi was read off the other scale.

    Judged by the dial alone, since what fits the window would give the window away.
    """
    gauge, reading = read.gauge, read.intended
    if gauge is None or reading is None or reading.unit == "psi":
        return
    as_psi_mpa = reading.value * FACTOR["psi"]
    if above(in_mpa(reading), gauge.span_mpa) and not above(as_psi_mpa, gauge.span_mpa):
        message = f"was {_as_stated(reading)} read off a scale in psi"
        yield Raised("hint.psi-as-bar", INTENDED, message, (gauge,))


def _off(code: str, away: str, where: str, numbers: Pressing) -> Raised:
    """A contact that is off: by how much is told where nothing else refuses."""
    met = "the nut met the cone"
    return Raised(code, CONTACT, f"{met} {where}", (numbers.target,), f"{met} {away} {where}")


def _as_stated(reading: Pressure) -> str:
    """Reading in the caller's own unit: on another scale it would be a number of the dial."""
    return f"{figure(reading.value, DUST_FREE)} {reading.unit}"


def _asked(read: StatedReadings, message: str) -> str:
    """Message with window and mark, which is what is asked where the reading alone is open.

    INVARIANT: rounding never widens the window, and leaves the reading on its side of each end.
    """
    numbers = read.numbers
    if numbers is None or numbers.stop_mpa is None or numbers.contact is not None:
        return message
    low, high = _window(numbers)
    digits, unit = _digits(read), numbers.gauge.unit
    stop = quantity(numbers.stop_mpa, "MPa", unit).value
    return (
        f"{message}: window {at_least(low, digits)} {unit} to {at_most(high, digits)} {unit}, "
        f"stop at {stop:g} {unit}"
    )


def _digits(read: StatedReadings) -> int:
    """Digits that keep the intended reading and the mark to stop at on their side of each end."""
    numbers = read.numbers
    if numbers is None:
        return DIGITS
    stated = None if read.intended is None else in_mpa(read.intended)
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


READING_RULES = (
    Group(StatedReadings, (reading_missing, reading_unit)),
    Group(
        ReadOnDial,
        (
            above_ceiling,
            outside_window,
            short_of_contact,
            between_graduations,
            contact_not_as_expected,
        ),
    ),
    Group(StatedReadings, (above_press_rating, reading_above_span, reading_psi_as_bar)),
)
