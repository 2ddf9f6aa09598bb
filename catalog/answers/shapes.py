"""The answers as Structs: what each caller gets back.

A part that does not apply or is not known is left out, never null.
"""

from datetime import date

from msgspec import UNSET, Struct, UnsetType

from catalog.findings import Finding
from catalog.quantities import Quantity
from catalog.questions import CheckedTool, ToolState
from catalog.setup.pressing import Cut
from catalog.terms import (
    Finish,
    Governing,
    Grade,
    InsertState,
    Lubricated,
    Method,
    StepId,
    StepState,
    Unit,
    Verdict,
)


class Input(Struct, frozen=True, kw_only=True, gc=False):
    """One number that went into a step: what it is, and the row or the field that it came from."""

    value: float
    unit: Unit
    of: str
    origin: str


class WorkingStep(Struct, frozen=True, kw_only=True):
    """One calculation: the formula, its source and grade, its inputs by symbol, its result."""

    name: str
    formula: str
    source: str
    grade: Grade
    inputs: dict[str, Input]
    result: Quantity


class SourceNote(Struct, frozen=True, kw_only=True, gc=False):
    """A source that the answer rests on, and how far it is trusted."""

    id: str
    title: str
    edition: str
    clause: str
    grade: Grade


class Assumption(Struct, frozen=True, kw_only=True, gc=False):
    """A fact that was taken as given because the question does not state it."""

    at: str
    value: str
    text: str


class ForceBand(Struct, frozen=True, kw_only=True, gc=False):
    """The forces between which the ring is pressed rightly."""

    low: Quantity
    high: Quantity


class Dial(Struct, frozen=True, kw_only=True, gc=False):
    """What the gauge may show, in the unit printed on it: the mark to stop at and the window.

    `cut_by` says what ends the window before the force band does.
    """

    stop_at: Quantity
    low: Quantity
    high: Quantity
    marks: int
    cut_by: Cut | UnsetType = UNSET


class ReadingBand(Struct, frozen=True, kw_only=True, gc=False):
    """The readings between which contact is expected, in the unit printed on the dial."""

    low: Quantity
    high: Quantity


class Conditions(Struct, frozen=True, kw_only=True, gc=False):
    """What a force was found under: it holds for no other.

    `lubricate` is empty where ring and cone are pressed dry; `hold` is how long to hold the force.
    """

    lubricate: tuple[Lubricated, ...]
    insert: InsertState
    ring: str | UnsetType = UNSET
    hold: Quantity | UnsetType = UNSET


class PressTarget(Struct, frozen=True, kw_only=True, gc=False):
    """How far to press: to a reading, or until the nut meets the cone, under a ceiling.

    `dial` is given for a finish at pressure with press and gauge known; at contact
    `expected_reading` is only about where the gauge will be when the nut meets the cone.
    """

    finish: Finish
    insert: InsertState
    conditions: Conditions | UnsetType = UNSET
    force: Quantity
    force_band: ForceBand
    ceiling: Quantity | UnsetType = UNSET
    dial: Dial | UnsetType = UNSET
    expected_reading: Quantity | UnsetType = UNSET
    expected_band: ReadingBand | UnsetType = UNSET
    never_exceed: Quantity | UnsetType = UNSET
    oil_volume: Quantity | UnsetType = UNSET
    pump_strokes: int | UnsetType = UNSET


class Limit(Struct, frozen=True, kw_only=True, gc=False):
    """One limit of the assembly: `tube`, `tube-yield`, `fitting` or `seal`."""

    of: str
    pressure: Quantity
    method: str


class AssemblyRating(Struct, frozen=True, kw_only=True):
    """The lowest limit governs; `margin` is that limit over the pressure that counts."""

    pressure: Quantity
    governing: str
    counted_pressure: Quantity
    margin: float
    limits: tuple[Limit, ...]


class Loads(Struct, frozen=True, kw_only=True, gc=False):
    """What pulls at the ring and the nut at the pressure that counts, alone and x design factor."""

    separation_force: Quantity
    separation_force_at_design_factor: Quantity
    nut_load: Quantity
    nut_load_at_design_factor: Quantity
    design_factor: float


class Next(Struct, frozen=True, kw_only=True, gc=False):
    """The one thing to state or do next."""

    at: str
    do: str
    code: str


class Answer(Struct, frozen=True, kw_only=True):
    """What every answer says: the verdict, what it rests on, and what it was told.

    `next` is there unless the verdict allows.
    """

    verdict: Verdict
    revision: str
    rules: str
    scope: str
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    working: tuple[WorkingStep, ...]
    sources: tuple[SourceNote, ...]
    next: Next | UnsetType = UNSET


class PressTargetAnswer(Answer, frozen=True, kw_only=True):
    """How far this ring is pressed, or why not."""

    client_ref: str | UnsetType = UNSET
    on: date | UnsetType = UNSET
    received_on: date | UnsetType = UNSET
    tool_state: ToolState | UnsetType = UNSET
    target: PressTarget | UnsetType = UNSET


class Pair(Struct, frozen=True, kw_only=True, gc=False):
    """A press with one of its gauges."""

    press: str
    gauge: str


class ExcludedPair(Struct, frozen=True, kw_only=True, gc=False):
    """A press with one of its gauges that cannot do it, and the codes that say why."""

    press: str
    gauge: str
    codes: tuple[str, ...]


class PartsList(Struct, frozen=True, kw_only=True, gc=False):
    """Parts for the ends of the line asked for."""

    rings: int
    nuts: int
    inserts: int


class PickedItem(Struct, frozen=True, kw_only=True):
    """Tooling for one line of a work order; `pairs` can do it, best first.

    `target` and its working are those of the first pair.
    """

    verdict: Verdict
    scope: str
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    working: tuple[WorkingStep, ...]
    next: Next | UnsetType = UNSET
    client_ref: str | UnsetType = UNSET
    cone: str | UnsetType = UNSET
    plate: str | UnsetType = UNSET
    ring: str | UnsetType = UNSET
    insert: InsertState | UnsetType = UNSET
    quantities: PartsList | UnsetType = UNSET
    pairs: tuple[Pair, ...] = ()
    excluded: tuple[ExcludedPair, ...] = ()
    target: PressTarget | UnsetType = UNSET
    assembly: AssemblyRating | UnsetType = UNSET
    loads: Loads | UnsetType = UNSET


class ToolingPickAnswer(Struct, frozen=True, kw_only=True):
    """One revision and one day for all items; the verdict is that of the gravest item."""

    verdict: Verdict
    revision: str
    rules: str
    items: tuple[PickedItem, ...]
    sources: tuple[SourceNote, ...]
    on: date | UnsetType = UNSET
    received_on: date | UnsetType = UNSET
    tools: dict[str, CheckedTool] | UnsetType = UNSET


class StepReport(Struct, frozen=True, kw_only=True, gc=False):
    """One step of the bench: done right, still open, or wrong."""

    id: StepId
    state: StepState


class SetupCheckAnswer(Answer, frozen=True, kw_only=True):
    """What is wrong with a setup, what is still unknown, and the target once it is known."""

    steps: tuple[StepReport, ...]
    next_fields: tuple[str, ...]
    client_ref: str | UnsetType = UNSET
    on: date | UnsetType = UNSET
    received_on: date | UnsetType = UNSET
    tool_state: ToolState | UnsetType = UNSET
    target: PressTarget | UnsetType = UNSET
    assembly: AssemblyRating | UnsetType = UNSET
    loads: Loads | UnsetType = UNSET


class MethodRating(Struct, frozen=True, kw_only=True, gc=False):
    """Pressure by one method; `required_wall` is the nominal wall for the pressure asked."""

    method: Method
    pressure: Quantity
    stress: Quantity
    required_wall: Quantity | UnsetType = UNSET


class TubeRatingAnswer(Answer, frozen=True, kw_only=True):
    """What the tube carries by each method; the lowest of those and of the yield limit governs."""

    ratings: tuple[MethodRating, ...]
    client_ref: str | UnsetType = UNSET
    governing: Governing | UnsetType = UNSET
    yield_limit: Quantity | UnsetType = UNSET
