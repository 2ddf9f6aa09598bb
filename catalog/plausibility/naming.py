"""What a factor looks like: a slipped decimal, a unit taken for another, two digits exchanged."""

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Literal

from catalog.plausibility.doubt import DoubtKind
from catalog.quantities import FACTOR

Dimension = Literal["force", "pressure", "stress", "length", "plain"]

_PSI_A_BAR: Final = FACTOR["bar"] / FACTOR["psi"]
_IN_A_MM: Final = FACTOR["in"]
_LBF_A_KN: Final = FACTOR["kN"] / FACTOR["lbf"]
_KIP_KN: Final = 1000 * FACTOR["lbf"]
_MPA_A_KSI: Final = 1000 * FACTOR["psi"]

# How many times the entered number is what it should be, and what then stands there.
_DECIMALS: Final = (10.0, 100.0, 1000.0)
_UNITS: Final[dict[Dimension, tuple[tuple[float, str], ...]]] = {
    "force": (
        (_LBF_A_KN, "lbf entered as kN"),
        (_KIP_KN, "kN multiplied by 4.448 as if it were thousands of lbf"),
        (1 / _KIP_KN, "thousands of lbf entered as kN"),
        (1 / _LBF_A_KN, "kN divided by 224.8 as if it were lbf"),
    ),
    "pressure": (
        (_PSI_A_BAR, "psi entered as bar"),
        (1 / _PSI_A_BAR, "bar divided by 14.5 as if it were psi"),
        (0.1, "MPa entered as bar"),
    ),
    "stress": (
        (10.0, "bar entered as MPa"),
        (1 / _MPA_A_KSI, "ksi entered as MPa"),
        (1000 / _MPA_A_KSI, "psi entered as MPa"),
    ),
    "length": (
        (1 / _IN_A_MM, "inches entered as mm"),
        (_IN_A_MM, "mm multiplied by 25.4 as if it were inches"),
    ),
    "plain": (),
}

MOST_NAMED: Final = 20
"""Rows that a message names where each of them is to be read."""


def slip_of(times: float, dimension: Dimension, slack: float) -> tuple[DoubtKind, str]:
    """Kind and words for a number that is `times` what it should be, within `slack` in the log."""
    off = math.log(times)
    named: list[tuple[float, DoubtKind, str]] = [
        (abs(off - math.log(factor)), "unit-slip", f"looks like {what}")
        for factor, what in _UNITS[dimension]
    ]
    for tens in _DECIMALS:
        high: DoubtKind = "ten-times" if tens == _DECIMALS[0] else "out-of-line"
        named.append((abs(off - math.log(tens)), high, f"looks {tens:g} times too high"))
        named.append((abs(off + math.log(tens)), high, f"looks {tens:g} times too low"))
    distance, kind, words = min(named, key=lambda each: each[0])
    return (kind, words) if distance <= slack else ("out-of-line", f"{times:.3g} times as much")


def unit_of_band(
    value: float, low: float, high: float, dimension: Dimension
) -> tuple[DoubtKind, str, float]:
    """Kind and words for a number outside a band, and the factor that would bring it in."""
    for factor, what in _UNITS[dimension]:
        if low <= value / factor <= high:
            return "unit-slip", f"looks like {what}", factor
    for factor, what in ((10.0, "ten times too high"), (0.1, "ten times too low")):
        if low <= value / factor <= high:
            return "ten-times", f"looks {what}", factor
    return "out-of-band", "no common slip explains it", 1.0


def exchanged(value: float, expected: float, slack: float) -> str:
    """The number with two neighbouring digits exchanged where that is expected, else blank."""
    text = f"{value:.10g}"
    places = [n for n, c in enumerate(text) if c.isdigit()]
    for one, other in pairwise(places):
        turned = list(text)
        turned[one], turned[other] = turned[other], turned[one]
        number = float("".join(turned))
        if number != value and number > 0 and abs(math.log(number / expected)) <= slack:
            return "".join(turned)
    return ""


def listed(names: Sequence[str], most: int = 3) -> str:
    """The first names, and how many more there are."""
    told = ", ".join(names[:most])
    return told if len(names) <= most else f"{told} and {len(names) - most} more"
