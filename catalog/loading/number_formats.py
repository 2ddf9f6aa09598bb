"""What the format of a cell shows of the number that is stored in it."""

import re
from typing import Final, Literal

Shows = Literal["", "date", "other"]
"""The number itself, a date, or something that is not what is stored: percent, a unit."""

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


def shows_of(number: str, code: str | None) -> Shows:
    """What a format shows, by its number and its code where it has one of its own.

    >>> shows_of("164", "dd-mmm"), shows_of("164", '0.0" psi"'), shows_of("9", None)
    ('date', 'other', 'other')
    >>> shows_of("164", "#,##0.00"), shows_of("164", "0,"), shows_of("0", None)
    ('', 'other', '')
    """
    if code is None:
        known = int(number) if number.isdecimal() and len(number) < 6 else 0
        return "date" if known in _DATES else "other" if known in _PERCENTS else ""
    if code.casefold() == "general":
        return ""
    code = code[:400]
    words = "".join(quoted or single for quoted, single in _WORDS.findall(code))
    rest = _SPACING.sub("", _BRACKETS.sub("", _WORDS.sub("", code)))
    if _DATE_LETTERS.search(rest):
        return "date"
    said_more = any(letter.isalpha() or letter in "%\u00b0" for letter in words)
    return "other" if said_more or "%" in rest or _SCALED.search(rest) else ""
