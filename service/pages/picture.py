"""Forces of changed press targets, before and after, as lines to draw on one scale."""

import math
from collections.abc import Sequence
from typing import Final

from msgspec import Struct, structs

from catalog.impact import End, Impact, Outcome
from catalog.rows import number_text

MOST_LINES: Final = 24
"""Tube ends that are drawn: more would fill a printed page."""
_WIDTH: Final = 1100
_LEFT: Final = 490
_RIGHT: Final = 150
_TOP: Final = 34
_STEP: Final = 20

Forces = tuple[float, float, float]
"""Force and the ends of its band [kN]."""


class At(Struct, frozen=True, kw_only=True):
    """Where a force and its band lie, in units of the drawing."""

    x: float
    low: float
    high: float


class DrawnEnd(Struct, frozen=True, kw_only=True):
    """A tube end: None where it was not, or is not, pressed."""

    label: str
    y: int
    old: At | None
    new: At | None

    @property
    def said(self) -> str:
        """What became of an end that was pressed before alone, or is now alone."""
        return (
            "not pressed any more"
            if self.new is None
            else "pressed now"
            if self.old is None
            else ""
        )


class Tick(Struct, frozen=True, kw_only=True):
    """A round force on the scale."""

    x: float
    text: str


class Picture(Struct, frozen=True, kw_only=True):
    """What is drawn; `count` counts the tube ends that are not drawn too."""

    lines: tuple[DrawnEnd, ...]
    ticks: tuple[Tick, ...]
    count: int
    width: int = _WIDTH

    @property
    def height(self) -> int:
        """Height of the drawing."""
        return _TOP + _STEP * len(self.lines)

    @property
    def cut(self) -> bool:
        """Whether there are more than are drawn."""
        return len(self.lines) < self.count


def picture_of(impact: Impact) -> Picture | None:
    """Forces that are others now, came or went: the largest change first; None where none is.

    What one press can do no more and another can still is not gone: only an end that is lost, or
    gained, has one side.
    """
    before: dict[End, Forces] = {}
    after: dict[End, Forces] = {}
    for change in impact.changes:
        for forces, outcome in ((before, change.before), (after, change.after)):
            if (known := _forces(outcome)) is not None:
                forces[change.end] = known
    one_sided = {*impact.coverage_lost, *impact.coverage_gained}
    differ: dict[tuple[End, Forces | None, Forces | None], list[str]] = {}
    for end in sorted(before.keys() | after.keys()):
        old, new = before.get(end), after.get(end)
        if old != new and (None not in (old, new) or end in one_sided):
            pressed = structs.replace(end, material="")  # grades that are pressed alike
            differ.setdefault((pressed, old, new), []).append(end.material)
    drawn = sorted(differ, key=_order)[:MOST_LINES]
    if not drawn:
        return None
    most_kn = max(kn for _, *both in drawn for forces in both if forces for kn in forces)
    step_kn = _round_step(most_kn)
    scale = (_WIDTH - _LEFT - _RIGHT) / (math.ceil(most_kn / step_kn) * step_kn)

    def at(forces: Forces | None) -> At | None:
        if forces is None:
            return None
        x, low, high = (round(_LEFT + kn * scale, 1) for kn in forces)
        return At(x=x, low=low, high=high)

    return Picture(
        lines=tuple(
            DrawnEnd(
                label=_label(end, differ[end, old, new]),
                y=_TOP + _STEP * n,
                old=at(old),
                new=at(new),
            )
            for n, (end, old, new) in enumerate(drawn)
        ),
        ticks=tuple(
            Tick(x=round(_LEFT + n * step_kn * scale, 1), text=f"{number_text(n * step_kn)} kN")
            for n in range(math.ceil(most_kn / step_kn) + 1)
        ),
        count=len(differ),
    )


def _label(end: End, grades: Sequence[str]) -> str:
    size = f"{end.series} {number_text(end.od_mm)} x {number_text(end.wall_mm)}"
    more = f" + {len(grades) - 1} more" if len(grades) > 1 else ""
    insert = ", insert" if end.insert == "fitted" else ""
    return f"{size} {grades[0]}{more}, {end.ring}{insert}"


def _forces(outcome: Outcome) -> Forces | None:
    force_kn, low_kn, high_kn = outcome.force_kn, outcome.force_low_kn, outcome.force_high_kn
    if force_kn is None or low_kn is None or high_kn is None:
        return None
    return force_kn, low_kn, high_kn


def _order(differing: tuple[End, Forces | None, Forces | None]) -> tuple[float, End]:
    end, old, new = differing
    if old is None or new is None:
        return -math.inf, end
    return -max(abs(now / was - 1) for was, now in zip(old, new, strict=True)), end


def _round_step(most_kn: float) -> float:
    """Step of 1, 2 or 5 times a power of ten that leaves at most ten of them on the scale."""
    power = 10.0 ** math.floor(math.log10(most_kn / 10))
    return next(power * n for n in (1, 2, 5, 10) if power * n * 10 >= most_kn)
