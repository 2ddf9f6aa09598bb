"""What the format of a cell shows of the number that is stored in it."""

import re
from typing import Final, Literal

Shows = Literal["", "date", "other"]
"""The number itself, a date, or something that is not what is stored: percent, a unit, another."""

# Formats that spreadsheets know by their number alone; 27 to 36 and 50 to 58 are dates where the
# office writes Chinese, Japanese or Korean.
_DATES: Final = frozenset({*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)})
_PERCENTS: Final = frozenset({9, 10})

_WORDS: Final = re.compile(r'"([^"]*)"|\\(.)')
_BRACKETS: Final = re.compile(r"\[(?!(?:h{1,4}|m{1,4}|s{1,4})\])[^\]]*\]", re.IGNORECASE)
_SPACING: Final = re.compile(r"[_*].")
_DATE_LETTERS: Final = re.compile("[dmyhs]", re.IGNORECASE)
# A comma after the last digit shows a thousandth of the number.
_SCALED: Final = re.compile(r"[0#?],+(?![0#?,])")
_LONGEST_CODE: Final = 400
_MOST_NUMBER_SECTIONS: Final = 3
_CURRENCY: Final = re.compile(r"\[\$([^\]-]*)")
_CONDITION: Final = re.compile(r"\[[<>=]")
_FILLED_WITH_DIGITS: Final = re.compile("[*][0-9]")
# What may stand in a format beside its places: "General", an exponent, a fixed denominator.
_PLAIN: Final = re.compile(r"general|e[+-]|(?<=/)[0-9]+", re.IGNORECASE)
_PLACE: Final = re.compile("[0#?@]|general", re.IGNORECASE)
_MINUS: Final = re.compile("[-(\u2212]")
_NOT_BESIDE_A_NUMBER: Final = frozenset('%\u00b0\u2030.,:/"\u2033')


def shows_of(number: str, code: str | None) -> Shows:
    """What a format shows, by its number and its code where it has one of its own.

    >>> shows_of("164", "dd-mmm"), shows_of("164", '0.0" psi"'), shows_of("9", None)
    ('date', 'other', 'other')
    >>> shows_of("164", "#,##0.00"), shows_of("164", "0,"), shows_of("0", None)
    ('', 'other', '')
    >>> shows_of("164", '"29"'), shows_of("164", "0.0;-0.0;;@"), shows_of("164", "0.0;-0.0")
    ('other', 'other', '')
    """
    if code is None:
        known = int(number) if number.isdecimal() and len(number) < 6 else 0
        return "date" if known in _DATES else "other" if known in _PERCENTS else ""
    if code.casefold() == "general":
        return ""
    if len(code) > _LONGEST_CODE:
        return "other"
    said = [quoted or single for quoted, single in _WORDS.findall(code)]
    words = "".join((*said, *_CURRENCY.findall(code)))
    rest = _SPACING.sub("", _BRACKETS.sub("", _WORDS.sub("", code)))
    if _DATE_LETTERS.search(rest):
        return "date"
    says_more = any(each.isalnum() or each in _NOT_BESIDE_A_NUMBER for each in words)
    beside = _PLAIN.sub("", rest)
    says_more |= any(each.isalpha() or each in "%:123456789" for each in beside)
    if says_more or _SCALED.search(rest) or _FILLED_WITH_DIGITS.search(code):
        return "other"
    return "" if _shows_each_number(code) else "other"


def _shows_each_number(code: str) -> bool:
    """Whether each section shows the number, and with a minus those that are negative alone."""
    signed = _WORDS.sub(lambda word: "-" if _MINUS.search(word[0]) else "", code)
    signed = _PLAIN.sub("0", _SPACING.sub("", _BRACKETS.sub("", signed)))
    sections = signed.split(";")[:_MOST_NUMBER_SECTIONS]
    if len(sections) > 1 and "@" in sections[-1]:  # of texts
        del sections[-1]
    if not all(_PLACE.search(each) for each in sections) or _MINUS.search(sections[0]):
        return False
    by_sign = len(sections) > 1 and not _CONDITION.search(code)
    return not by_sign or _MINUS.search(sections[1]) is not None
