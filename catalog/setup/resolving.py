"""Resolve a question on an index: the one place where questions meet rows.

INVARIANT: rules read the subjects of a `Setup` and never an index; an answer reads the index for
texts, grades and the pairs of the shop alone, so every other row that it rests on is in the setup.
"""

from collections.abc import Mapping
from typing import Any

from msgspec import UNSET, Struct, UnsetType, structs

from catalog.facts import PRESSING, SERVICE, SETUP, Required
from catalog.index import Index
from catalog.questions import (
    AnswerUnits,
    PickItem,
    PreparationFacts,
    PressTargetQuestion,
    Received,
    ServiceFacts,
    SetupCheckQuestion,
    ToolingFacts,
    ToolState,
)
from catalog.rows import Cone, CutMethod, Gauge, Plate, Preparation, Press, Ring, Target
from catalog.setup.day import NO_DAY, NO_STATE, Day
from catalog.setup.fitting import FittingSetup, tooling_of
from catalog.setup.loads import LineLoads, resolve_loads
from catalog.setup.pair import pair_subjects
from catalog.setup.pressing import Pressing, pressing
from catalog.setup.rating import RatedLine, Rating, resolve_rating
from catalog.setup.reading import reading_subjects
from catalog.setup.service import ServiceSetup, resolve_service
from catalog.setup.tube import TubeSetup
from catalog.setup.tube_end import Tooled, TubeEnd, tube_end

Id = str | UnsetType


class Prepared(Struct, frozen=True, kw_only=True, gc=False):
    """How a tube end was prepared, beside what it is judged by; None where that is not known."""

    units: AnswerUnits
    words: Mapping[str, tuple[str, ...]]
    facts: PreparationFacts
    cut: CutMethod | None
    limits: Preparation | None
    od_mm: float | None
    ring: Ring | None


class Setup(Struct, frozen=True, kw_only=True):
    """A question with its rows and numbers; None where the question or the revision does not say.

    `service`, `preparation` and `tooling` are None where the question does not judge them. `cone`
    and `plate` are those named, else those that the size asks for.
    """

    required: tuple[Required, ...]
    words: Mapping[str, tuple[str, ...]]
    question: PressTargetQuestion | PickItem | SetupCheckQuestion
    units: AnswerUnits
    end: TubeEnd
    tube: TubeSetup
    fitting: FittingSetup
    limits: Preparation | None
    target: Target | None
    service: ServiceSetup | None
    rating: Rating | None
    loads: LineLoads | None
    tooling: ToolingFacts | None
    cone: Cone | None
    plate: Plate | None
    press_id: Id
    press: Press | None
    gauge_id: Id
    gauge: Gauge | None
    pressing: Pressing | None
    preparation: PreparationFacts | None
    cut: CutMethod | None
    day: Day
    tool_state: ToolState

    def subjects(self) -> dict[type, Any]:
        """What the rules judge, by class, as far as it is known: narrowed here and nowhere else."""
        is_day_required = any(fact.at == "/on" for fact in self.required)
        found = pair_subjects(
            self.units,
            self.press,
            self.gauge,
            self.pressing,
            self.tool_state,
            self.day,
            is_day_required=is_day_required,
        )
        found[Setup] = self
        found[TubeEnd] = self.end
        found[Tooled] = Tooled(
            end=self.end, cone=self.cone, plate=self.plate, is_picked=self.tooling is None
        )
        if self.service is not None and self.rating is not None:
            found[RatedLine] = RatedLine(
                units=self.units,
                words=self.words,
                tube=self.tube,
                fitting=self.fitting,
                limits=self.limits,
                service=self.service,
                rating=self.rating,
            )
        if self.preparation is not None:
            found[Prepared] = Prepared(
                units=self.units,
                words=self.words,
                facts=self.preparation,
                cut=self.cut,
                limits=self.limits,
                od_mm=self.tube.od_mm,
                ring=self.fitting.ring,
            )
        if isinstance(self.question, SetupCheckQuestion):
            # The ring set says how it is finished before any target is found.
            ends = self.fitting.ring if self.target is None else self.target
            finish = None if ends is None else ends.finish
            found |= reading_subjects(self.question, self.press, self.gauge, finish, self.pressing)
        return found


def press_target_setup(
    index: Index, question: PressTargetQuestion, received: Received | None = None
) -> Setup:
    """Setup that a press target is judged on: tube, fitting, and press and gauge where named."""
    return _setup(
        index,
        question,
        question.answer_in,
        PRESSING,
        press_id=question.press,
        gauge_id=question.gauge,
        day=Day(on=question.on, received=received),
        tool_state=question.tool_state,
    )


def pick_setup(index: Index, item: PickItem, units: AnswerUnits, day: Day = NO_DAY) -> Setup:
    """Setup that a tooling pick starts from; its service is rated once any of it is stated."""
    rated = item.service is not UNSET
    return _setup(
        index,
        item,
        units,
        (*PRESSING, *SERVICE) if rated else PRESSING,
        service=item.service if rated else None,
        day=day,
    )


def setup_check_setup(
    index: Index, question: SetupCheckQuestion, received: Received | None = None
) -> Setup:
    """Setup of the bench, whole or in part."""
    return _setup(
        index,
        question,
        question.answer_in,
        SETUP,
        press_id=question.press,
        gauge_id=question.gauge,
        day=Day(on=question.on, received=received),
        tool_state=question.tool_state,
        service=question.service,
        tooling=question.tooling,
        preparation=question.preparation,
    )


def with_pair(setup: Setup, press: Press, gauge: Gauge) -> Setup:
    """The same setup on another press and gauge."""
    numbers = None
    if setup.target is not None:
        numbers = pressing(setup.target, press, gauge, setup.cone, setup.plate)
    due = setup.day.tools.get(gauge.id, NO_STATE).calibration_due
    return structs.replace(
        setup,
        press_id=press.id,
        press=press,
        gauge_id=gauge.id,
        gauge=gauge,
        pressing=numbers,
        tool_state=structs.replace(setup.tool_state, gauge_calibration_due=due),
    )


def _setup(
    index: Index,
    question: PressTargetQuestion | PickItem | SetupCheckQuestion,
    units: AnswerUnits,
    required: tuple[Required, ...],
    *,
    service: ServiceFacts | UnsetType | None = None,
    tooling: ToolingFacts | None = None,
    preparation: PreparationFacts | None = None,
    press_id: Id = UNSET,
    gauge_id: Id = UNSET,
    day: Day = NO_DAY,
    tool_state: ToolState | UnsetType = UNSET,
) -> Setup:
    end = tube_end(index, units, question.tube, question.fitting)
    tube, fitting, target = end.tube, end.fitting, end.target
    cone, plate = _tooling(index, end, tooling, day)
    press = None if press_id is UNSET else index.presses.get(press_id)
    gauge = None if gauge_id is UNSET else index.gauges.get(gauge_id)
    numbers = None
    if target is not None and press is not None and gauge is not None:
        numbers = pressing(target, press, gauge, cone, plate)
    served = None if service is None or service is UNSET else resolve_service(index, service)
    return Setup(
        required=required,
        words=index.words,
        question=question,
        units=units,
        end=end,
        tube=tube,
        fitting=fitting,
        limits=end.limits,
        target=target,
        service=served,
        rating=None if served is None else resolve_rating(index, tube, fitting, served),
        loads=None if served is None else resolve_loads(fitting, served),
        tooling=tooling,
        cone=cone,
        plate=plate,
        press_id=press_id,
        press=press,
        gauge_id=gauge_id,
        gauge=gauge,
        pressing=numbers,
        preparation=preparation,
        cut=_cut(index, preparation),
        day=day,
        tool_state=_state(cone, day) if tool_state is UNSET else tool_state,
    )


def _tooling(
    index: Index, end: TubeEnd, named: ToolingFacts | None, day: Day
) -> tuple[Cone | None, Plate | None]:
    cone, plate = end.cone, end.plate
    if day.tools:
        family = None if end.tube.material is None else end.tube.material.family
        od_mm = end.tube.od_mm
        cone, plate = tooling_of(index, end.fitting.series, od_mm, family, day.tools)
    if named is None:
        return cone, plate
    # What lies on the bench is judged, not what should lie there.
    return (
        cone if named.cone is UNSET else index.cones.get(named.cone),
        plate if named.plate is UNSET else index.plates.get(named.plate),
    )


def _state(cone: Cone | None, day: Day) -> ToolState:
    """State of the cone that was picked; a gauge has its own once a pair is tried."""
    known = NO_STATE if cone is None else day.tools.get(cone.id, NO_STATE)
    return ToolState(cone_uses_since_check=known.uses_since_check)


def _cut(index: Index, facts: PreparationFacts | None) -> CutMethod | None:
    if facts is None or facts.cut_method is UNSET:
        return None
    return index.cut_methods.get(facts.cut_method)
