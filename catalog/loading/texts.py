"""What no text of a table may be: a formula for a spreadsheet, an invisible letter, a lost date."""

import re
from typing import Final

from catalog.loading.columns import Column
from catalog.loading.faults import Problem, shown

LIST_MARK: Final = ";"
CELL_LETTERS: Final = 4000
"""Longer cells are refused unread; the longest text of a row has 600 letters."""

PLAIN_NUMBER: Final = re.compile(r"-?(?:0|[1-9][0-9]*)(?:[.][0-9]+)?")

# A spreadsheet runs what begins with one of these when it opens a CSV file; the wide ones where the
# office writes Chinese or Japanese. A tab or a carriage return is skipped before the first letter.
_FORMULA_LEADS: Final = frozenset("=+-@\t\r\uff1d\uff0b\uff0d\uff20")
# Control and format letters, line ends, the hard and the thin space, halves of letters, no letters.
_UNSEEN: Final = re.compile(
    "[\x00-\x1f\x7f-\xa0\xad\u0600-\u0605\u061c\u06dd\u070f\u180e\u2000-\u200f\u2028-\u202f"
    "\u205f-\u206f\u3000\ufeff\ufff0-\ufffb\ufffe\uffff\ud800-\udfff\U000e0000-\U000e007f]"
)
_MONTHS: Final = (
    "jan feb mar mär mrz apr may mai jun jul aug sep sept oct okt out nov dec dez dic ene abr ago"
    " set fev fév févr avr juin juil aoû août déc gen mag giu lug ott january february march april"
    " june july august september october november december januar februar märz juni juli oktober"
    " dezember"
)
_MONTH: Final = f"(?:{'|'.join(sorted(_MONTHS.split(), key=len, reverse=True))})[.]?"
_TIME: Final = r"(?:[ T][0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.][0-9]{1,6})?)?)?"
_DATE: Final = re.compile(
    rf"(?:[0-9]{{1,2}}[-. /]{{1,2}}{_MONTH}(?:[-. /]{{1,2}}[0-9]{{2,4}})?"
    rf"|{_MONTH}[-. /][0-9]{{1,4}}"
    r"|[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}"
    r"|[0-9]{1,2}(?P<mark>[./-])[0-9]{1,2}(?P=mark)(?:[0-9]{4}|[0-9]{2})"
    rf"){_TIME}",
    re.IGNORECASE,
)
_POWER: Final = re.compile(r"-?[0-9]+(?:[.,][0-9]+)?E[+-][0-9]{1,3}", re.IGNORECASE)

AS_TEXT: Final = "format the column as text and enter the value again"


def text_problem(column: Column, text: str) -> Problem | None:
    """What is wrong with a text that is not blank, None where nothing is."""
    if len(text) > CELL_LETTERS:
        return too_long(column, text)
    if (problem := formula_problem(text)) is not None:
        return problem
    if (found := _UNSEEN.search(text)) is not None:
        return Problem(
            "control-letter",
            f"holds a letter that cannot be seen, U+{ord(found[0]):04X} after"
            f" {found.start()} letters",
            "type the text again by hand, with plain spaces and no line break",
        )
    if text != text.strip(" "):
        return stray_space(text)
    return lost_text(text) if column.is_mark else None


def formula_problem(text: str) -> Problem | None:
    """The problem of a text that a spreadsheet would run, None where it would not.

    >>> formula_problem("-4") is None, formula_problem("-4+1").rule
    (True, 'runs-as-formula')
    """
    # A semicolon parts cells too where the office writes a decimal comma.
    parts = text.split(LIST_MARK) if LIST_MARK in text else (text,)
    for part in parts:
        if part[:1] in _FORMULA_LEADS and part and not PLAIN_NUMBER.fullmatch(part):
            return Problem(
                "runs-as-formula",
                f"{shown(text)} would run as a formula when a spreadsheet opens the table",
                "begin the text with a letter or a digit; a plain number such as -4 may stand",
            )
    return None


def lost_text(text: str) -> Problem | None:
    """The problem of a mark that a spreadsheet has made a date or a number of, None where not."""
    return next(filter(None, (_lost(part.strip()) for part in text.split(LIST_MARK))), None)


def stray_space(text: str) -> Problem:
    """The problem of a space before or after what is meant."""
    return Problem(
        "stray-space",
        f"{shown(text)} has a space before or after it",
        "take the space out",
    )


def too_long(column: Column, text: str) -> Problem:
    """The problem of a text with more letters than the column takes."""
    limit = f", limit {column.longest}" if column.longest is not None else ""
    message = f"{len(text)} letters{limit}, and {column.wanted} is wanted"
    return Problem("too-long", message, "shorten the text")


def _lost(text: str) -> Problem | None:
    if _DATE.fullmatch(text):
        return Problem(
            "spreadsheet-date",
            f"{shown(text)} is a date: a spreadsheet has turned what was typed into it",
            AS_TEXT,
        )
    if _POWER.fullmatch(text):
        return Problem(
            "spreadsheet-number",
            f"{shown(text)} is a number with a power of ten: a spreadsheet has turned what was"
            " typed into it",
            AS_TEXT,
        )
    return None
