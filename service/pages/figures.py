"""Numbers and texts as they stand on a page: short, never kinder than they are, nothing hidden."""

import unicodedata
from collections.abc import Callable, Iterable
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from catalog.figures import DIGITS, DUST_FREE, at_least, at_most, figure

NONE: Final = "none"
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
    for digits in (DIGITS, DUST_FREE, 17):
        told = Shift(before=_text(before, digits), after=_text(after, digits), unit=unit)
        if not (differ and told.same):
            break
    return told


def _text(ends: _Ends, digits: int) -> str:
    told = [NONE if value is None else written(value, digits) for value, written in ends]
    return NONE if set(told) == {NONE} else " to ".join(told)
