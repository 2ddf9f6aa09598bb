"""Numbers and texts as they stand on a page: short, never kinder than they are, nothing hidden."""

import unicodedata
from collections.abc import Callable, Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Final

from markupsafe import Markup
from msgspec import Struct

DIGITS: Final = 5
"""Significant digits of a number on a page; more where before and after would look the same."""
NONE: Final = "none"
_DUST_FREE: Final = 10
_HIDING: Final = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}
"""Kinds of letters that cannot be seen, or that turn the ones beside them around."""

Written = Callable[[float, int], str]


class Shift(Struct, frozen=True, kw_only=True):
    """A value before and after, as texts; `unit` is empty where the head of its column has it."""

    before: str
    after: str
    unit: str = ""

    @property
    def same(self) -> bool:
        """Whether one text says both."""
        return self.before == self.after


def figure(value: float, digits: int = DIGITS, rounding: str = ROUND_HALF_EVEN) -> str:
    """Plain text of a number at so many significant digits, whole numbers in full.

    >>> figure(166.0336), figure(0.30000000000000004), figure(123456.0), figure(-40.0)
    ('166.03', '0.3', '123456', '-40')
    """
    number = Decimal(f"{value:.{max(digits, _DUST_FREE)}g}")
    if number.is_zero():
        return "0"
    last = min(0, number.adjusted() - digits + 1)
    text = format(number.quantize(Decimal(1).scaleb(last), rounding=rounding), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def at_least(value: float, digits: int = DIGITS) -> str:
    """Low end of a window, rounded inward.

    >>> at_least(166.0336)
    '166.04'
    """
    return figure(value, digits, ROUND_CEILING)


def at_most(value: float, digits: int = DIGITS) -> str:
    """High end of a window, or a limit, rounded down.

    >>> at_most(170.1264)
    '170.12'
    """
    return figure(value, digits, ROUND_FLOOR)


def shift(
    before: float | None, after: float | None, written: Written = figure, unit: str = ""
) -> Shift:
    """Number before and after, with as many digits as it takes to tell them apart."""
    return _shift(((before, written),), ((after, written),), unit)


def window(
    before: tuple[float | None, float | None], after: tuple[float | None, float | None], unit: str
) -> Shift:
    """Window before and after, its ends rounded inward."""
    (low, high), (now_low, now_high) = before, after
    return _shift(
        ((low, at_least), (high, at_most)), ((now_low, at_least), (now_high, at_most)), unit
    )


def percent(share: float) -> str:
    """Relative change.

    >>> percent(0.1071428571428572), percent(9.0), percent(0.0)
    ('10.7 %', '900 %', '0 %')
    """
    return f"{figure(share * 100, 3)} %"


def visible(value: object) -> object:
    r"""Text with letters that cannot be seen told by their number; line breaks stay.

    >>> visible("paid\u202egnirts")
    'paid[U+202E]gnirts'
    """
    if isinstance(value, Markup) or not isinstance(value, str):
        return value
    return "".join(
        f"[U+{ord(letter):04X}]"
        if unicodedata.category(letter) in _HIDING and letter not in "\n\t"
        else letter
        for letter in value.replace("\r\n", "\n")
    )


_Ends = Iterable[tuple[float | None, Written]]


def _shift(before: _Ends, after: _Ends, unit: str) -> Shift:
    before, after = tuple(before), tuple(after)
    differ = [v for v, _ in before] != [v for v, _ in after]
    told = Shift(before="", after="", unit=unit)
    for digits in (DIGITS, _DUST_FREE, 17):
        told = Shift(before=_text(before, digits), after=_text(after, digits), unit=unit)
        if not (differ and told.same):
            break
    return told


def _text(ends: _Ends, digits: int) -> str:
    told = [NONE if value is None else written(value, digits) for value, written in ends]
    return NONE if set(told) == {NONE} else " to ".join(told)
