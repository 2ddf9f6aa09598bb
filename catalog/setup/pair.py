"""A press and its gauge, and what stands on the two: what the rules of a pair judge."""

from typing import Any, Final

from msgspec import Struct

from catalog.questions import AnswerUnits, ToolState
from catalog.rows import Gauge, Press
from catalog.setup.day import NO_DAY, Day
from catalog.setup.pressing import Pressing

NO_TOOL_STATE: Final = ToolState()
"""State of tools of which nothing is known."""


class OnPress(Struct, frozen=True, kw_only=True, gc=False):
    """A press."""

    units: AnswerUnits
    press: Press


class PressAndGauge(OnPress, frozen=True, kw_only=True, gc=False):
    """A press and the gauge on it."""

    gauge: Gauge


class Pressed(OnPress, frozen=True, kw_only=True, gc=False):
    """A ring on a press and gauge that its target is known for."""

    numbers: Pressing


class GaugeOnDay(Struct, frozen=True, kw_only=True, gc=False):
    """A gauge in its state of the day; a day that is required has a finding where it is missing."""

    gauge: Gauge
    state: ToolState
    day: Day
    is_day_required: bool


def pair_subjects(
    units: AnswerUnits,
    press: Press | None,
    gauge: Gauge | None,
    numbers: Pressing | None,
    state: ToolState = NO_TOOL_STATE,
    day: Day = NO_DAY,
    *,
    is_day_required: bool = False,
) -> dict[type, Any]:
    """Subjects of a press and a gauge, as far as the two are known."""
    subjects: dict[type, Any] = {}
    if press is not None:
        subjects[OnPress] = OnPress(units=units, press=press)
    if gauge is not None:
        subjects[GaugeOnDay] = GaugeOnDay(
            gauge=gauge, state=state, day=day, is_day_required=is_day_required
        )
    if press is not None and gauge is not None:
        subjects[PressAndGauge] = PressAndGauge(units=units, press=press, gauge=gauge)
    if press is not None and numbers is not None:
        subjects[Pressed] = Pressed(units=units, press=press, numbers=numbers)
    return subjects
