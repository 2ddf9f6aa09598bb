"""Numbers as a person reads them: short, without the dust of binary fractions, never kinder."""

from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from functools import lru_cache
from typing import Final

DIGITS: Final = 5
"""Significant digits of a number on a page."""
DUST_FREE: Final = 10
"""Significant digits up to which a number is what was meant, and not what binary makes of it."""


@lru_cache(maxsize=8192)
def figure(value: float, digits: int = DIGITS, rounding: str = ROUND_HALF_EVEN) -> str:
    """Plain text of a number at so many significant digits, whole numbers in full.

    >>> figure(166.0336), figure(0.30000000000000004), figure(123456.0), figure(-40.0)
    ('166.03', '0.3', '123456', '-40')
    """
    number = Decimal(f"{value:.{max(digits, DUST_FREE)}g}")
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


def digits_apart(low: float, high: float, beside: Iterable[float]) -> int:
    """Digits at which the ends of a window, rounded inward, leave numbers where they are.

    What lies inside stays inside, and what lies outside stays there too.

    >>> digits_apart(138.0, 147.0065, [140.0]), digits_apart(138.0, 147.0065, [147.006])
    (5, 6)
    """
    for digits in range(DIGITS, DUST_FREE):
        least, most = float(at_least(low, digits)), float(at_most(high, digits))
        shown = [(number, float(figure(number, digits))) for number in beside]
        if all(
            (low <= number, number <= high) == (least <= text, text <= most)
            for number, text in shown
        ):
            return digits
    return DUST_FREE
