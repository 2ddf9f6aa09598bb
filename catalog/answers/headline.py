"""The one line of an answer, for a phone or a label."""

from collections.abc import Collection
from functools import lru_cache
from typing import Final

from msgspec import UNSET, UnsetType

from catalog.answers.shapes import Next, PressTarget
from catalog.figures import DUST_FREE, at_least, at_most
from catalog.findings import Finding
from catalog.quantities import Quantity
from catalog.terms import Verdict

_DIGITS: Final = 3
"""Significant digits that an eye can read off a dial; whole numbers stand in full."""


def headline(
    verdict: Verdict,
    findings: tuple[Finding, ...],
    following: Next | UnsetType,
    settled: str,
    refused: str = "do not press",
) -> str:
    """Why not, what is still to be settled, or what was asked for: `settled`.

    INVARIANT: a line that is read alone never hides that there is more to read, and never names a
    number to press to beside a refusal: a refused reading is told without its window.
    """
    if following is UNSET:
        return with_cautions(settled, findings)
    if verdict == "undetermined":
        return f"not settled: {following.do}"
    message = next(each.message for each in findings if each.severity == "reject")
    return f"{refused}: {message}"


def with_cautions(settled: str, findings: Collection[Finding]) -> str:
    """What was asked for, and how many cautions stand beside it."""
    count = sum(each.severity == "caution" for each in findings)
    return f"{settled}; cautions to read: {count}" if settled and count else settled


@lru_cache(maxsize=8192)
def how_far(target: PressTarget) -> str:
    """How far to press, by what is known of press and gauge.

    INVARIANT: rounding never widens a window and never raises a limit.
    """
    limit = target.never_exceed
    if target.dial is not UNSET and limit is not UNSET:
        stop, dial = target.dial.stop_at, target.dial
        low, high = _between(dial.low.value, stop.value, dial.high.value)
        never = _not_below(high, limit.value)
        return f"stop at {_text(stop)}, window {low} to {high}, never above {never}"
    if target.expected_band is not UNSET and limit is not UNSET:
        least, most = target.expected_band.low.value, target.expected_band.high.value
        low, high = _between(least, (least + most) / 2, most)
        expected = f"{low} to {high} {limit.unit}, never above {_not_below(high, limit.value)}"
        return f"press until the nut meets the cone, expected at {expected}"
    band = target.force_band
    low, high = _between(band.low.value, target.force.value, band.high.value)
    return f"force {_text(target.force)}, between {low} and {high}"


def limit_text(told: Quantity) -> str:
    """Quantity as a headline shows a limit: rounded down."""
    return f"{at_most(told.value, _DIGITS)} {told.unit}"


def _text(told: Quantity) -> str:
    return f"{told.value:g} {told.unit}"


def _between(low: float, inside: float, high: float) -> tuple[str, str]:
    """Ends of a window rounded inward, with more digits where fewer would leave `inside` out."""
    least = most = ""
    for digits in range(_DIGITS, DUST_FREE + 1):
        least, most = at_least(low, digits), at_most(high, digits)
        if float(least) <= inside <= float(most):
            break
    return least, most


def _not_below(end: str, limit: float) -> str:
    """Limit rounded down, but never below the end of the window that stands beside it."""
    told = (at_most(limit, digits) for digits in range(_DIGITS, DUST_FREE + 1))
    return next((text for text in told if float(text) >= float(end)), end)
