"""The one line of an answer, for a phone or a label."""

from math import ceil, floor

from msgspec import UNSET, UnsetType

from catalog.answers.shapes import Next, PressTarget
from catalog.findings import Finding
from catalog.quantities import Quantity
from catalog.terms import Verdict


def headline(
    verdict: Verdict,
    findings: tuple[Finding, ...],
    following: Next | UnsetType,
    settled: str,
    refused: str = "do not press",
) -> str:
    """Why not, what is still to be settled, or what was asked for: `settled`."""
    if following is UNSET:
        return settled
    if verdict == "undetermined":
        return f"not settled: {following.do}"
    message = next(each.message for each in findings if each.severity == "reject")
    return f"{refused}: {message}"


def how_far(target: PressTarget) -> str:
    """How far to press, by what is known of press and gauge.

    INVARIANT: rounding never widens a window and never raises a limit.
    """
    limit = target.never_exceed
    never = "" if limit is UNSET else f", never above {_down(limit.value):g}"
    if target.dial is not UNSET:
        stop, low, high = target.dial.stop_at, target.dial.low.value, target.dial.high.value
        window = f"{min(_up(low), stop.value):g} to {max(_down(high), stop.value):g}"
        return f"stop at {_text(stop)}, window {window}{never}"
    if target.expected_band is not UNSET and limit is not UNSET:
        band = target.expected_band
        expected = f"{_up(band.low.value):g} to {_down(band.high.value):g} {limit.unit}"
        return f"press until the nut meets the cone, expected at {expected}{never}"
    least, most = target.force_band.low.value, target.force_band.high.value
    return f"force {_text(target.force)}, between {_up(least):g} and {_down(most):g}"


def at_most(told: Quantity) -> str:
    """Quantity as a headline shows a limit: rounded down."""
    return f"{_down(told.value):g} {told.unit}"


def _text(told: Quantity) -> str:
    return f"{told.value:g} {told.unit}"


def _step(value: float) -> int:
    """Parts of a unit that an eye can read off a dial: whole numbers from 100 up."""
    return next((step for step in (1, 10, 100) if abs(value) * step >= 100), 1000)


def _up(value: float) -> float:
    step = _step(value)
    return ceil(value * step) / step


def _down(value: float) -> float:
    step = _step(value)
    return floor(value * step) / step
