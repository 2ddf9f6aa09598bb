"""Find numbers in an answer, in whatever unit and with however many digits they are told."""

import re
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import Any, Final, NamedTuple

from tests.catalog.pairs.exact import CUBIC_MM, NEWTONS, PASCALS

DIGITS: Final = range(4, 10)
_UNITS: Final[Mapping[str, Mapping[str, Fraction]]] = {
    "pressure": PASCALS,
    "force": NEWTONS,
    "volume": CUBIC_MM,
    "percent": {"percent": Fraction(1)},
}
_NUMBER: Final = re.compile(
    r"(?<![\w.])(\d+(?:\.\d+)?(?:e[+-]?\d+)?)"
    r"(?: ?(bar|MPa|psi|kN|lbf|mm3|cm3|in3|mm2|cm2|in2|mm|in|degC|degF|deg|percent|%)\b)?"
)
Shown = dict[tuple[float, str], str]
"""What a number may be shown as, with its unit or bare: its name."""


class Hit(NamedTuple):
    """A number where it must not stand."""

    path: str
    number: str
    text: str


def forms(value: Fraction) -> Iterator[float]:
    """A number with four to nine digits."""
    as_float = float(value)
    for digits in DIGITS:
        yield float(f"{as_float:.{digits}g}")


def shown_as(name: str, value: Fraction, kind: str) -> Shown:
    """Every way to show a number [Pa, N, mm3, percent] in the units of its kind."""
    found: Shown = {}
    for unit, size in _UNITS[kind].items():
        # A pressure is told in whole pascals too.
        for each in {value, Fraction(round(value))} if kind == "pressure" else {value}:
            for form in forms(each / size):
                found[form, unit] = found[form, ""] = name
    return found


def told_in(answer: Any, path: str = "") -> Iterator[tuple[str, str, float, str]]:
    """Path, text, number and unit of every number of an answer, in strings too; bare: no unit.

    A finding stands in its path by code, a step of the working by name.
    """
    if isinstance(answer, dict):
        name = answer.get("code") or answer.get("name") or ""
        path = f"{path}[{name}]" if name else path
        unit = answer.get("unit", "")
        for key, value in answer.items():
            if key == "value" and unit and isinstance(value, int | float):
                yield path, f"{value} {unit}", float(value), unit
            else:
                yield from told_in(value, f"{path}/{key}")
    elif isinstance(answer, list | tuple):
        for value in answer:
            yield from told_in(value, path)
    elif isinstance(answer, str):
        for match in _NUMBER.finditer(answer):
            unit = match[2] or ""
            yield path, answer, float(match[1]), "percent" if unit == "%" else unit
    elif isinstance(answer, int | float) and not isinstance(answer, bool):
        yield path, str(answer), float(answer), ""


def hits(answer: Any, forbidden: Iterable[Shown], own: set[tuple[float, str]]) -> list[Hit]:
    """Forbidden numbers of an answer, but for the caller's own."""
    tables = tuple(forbidden)
    found = []
    for path, text, number, unit in told_in(answer):
        if (number, unit) in own:
            continue
        for table in tables:
            if (number, unit) in table:
                found.append(Hit(path, table[number, unit], text))
                break
    return found
