"""Find numbers in an answer, in whatever unit and with however many digits they are told."""

import re
from collections.abc import Iterable, Iterator, Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, Context
from fractions import Fraction
from typing import Any, Final, NamedTuple

import msgspec

from tests.catalog.pairs.exact import CUBIC_MM, NEWTONS, PASCALS

DIGITS: Final = range(4, 10)
"""Three digits, as of 139 and 140 bar, are met by chance in every other answer."""
_UNITS: Final[Mapping[str, Mapping[str, float]]] = {
    "pressure": {unit: float(size) for unit, size in PASCALS.items()},
    "force": {unit: float(size) for unit, size in NEWTONS.items()},
    "volume": {unit: float(size) for unit, size in CUBIC_MM.items()},
    "percent": {"percent": 1.0},
}
_FIGURE: Final = r"(?<![\w.])(\d+(?:\.\d+)?(?:e[+-]?\d+)?)"
_BARE: Final = re.compile(_FIGURE)
_NUMBER: Final = re.compile(
    _FIGURE + r"(?: ?(bar|MPa|psi|kN|lbf|mm3|cm3|in3|mm2|cm2|in2|mm|in|degC|degF|deg|percent|%)\b)?"
)
Shown = dict[float, dict[str, str]]
"""What numbers may be shown as: figure, unit ("" where none is told), name of the number."""
Own = set[tuple[float, str]]


class Hit(NamedTuple):
    """A number where it must not stand."""

    path: str
    number: str
    text: str


def forms(value: float) -> Iterator[float]:
    """A number with four to nine digits, and from five on as an end of a window or a limit too."""
    for digits in DIGITS:
        yield float(f"{value:.{digits}g}")
    for digits in range(5, 9):
        for rounding in (ROUND_FLOOR, ROUND_CEILING):
            yield float(Context(prec=digits, rounding=rounding).create_decimal(f"{value:.9g}"))


def show(shown: Shown, name: str, value: Fraction, kind: str) -> None:
    """Add every way to show a number [Pa, N, mm3, percent] in the units of its kind."""
    # A pressure is told in whole pascals too.
    values = {float(value), float(round(value))} if kind == "pressure" else {float(value)}
    for unit, size in _UNITS[kind].items():
        for each in values:
            for form in forms(each / size):
                names = shown.setdefault(form, {})
                names[unit] = names[""] = name


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


def hits(answer: Any, forbidden: Iterable[Shown], own: Own) -> list[Hit]:
    """Forbidden numbers of an answer, but for the caller's own."""
    figures = {float(figure) for figure in _BARE.findall(msgspec.json.encode(answer).decode())}
    # Most answers hold none, in whatever unit: those need no walk.
    tables = [table for table in forbidden if table.keys() & figures]
    if not tables:
        return []
    return [
        Hit(path, name, text)
        for path, text, number, unit in told_in(answer)
        if (number, unit) not in own
        for name in {table.get(number, {}).get(unit, "") for table in tables}
        if name
    ]


def without_echo(answer: dict[str, Any]) -> dict[str, Any]:
    """An answer without what it only repeats of the question or of the revision."""
    left_out = {"revision", "rules", "scope", "on", "tool_state", "client_ref", "sources"}
    return {key: value for key, value in answer.items() if key not in left_out}
