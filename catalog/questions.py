"""The questions that the catalog answers, as they are asked, with the day and the tool state.

A field left out is `UNSET`, never null and never guessed: `catalog.facts` says what that means.
"""

from datetime import date
from typing import Annotated

from msgspec import UNSET, Meta, Struct, UnsetType

from catalog.quantities import Angle, Length, LengthFromZero, Pressure, Temperature
from catalog.terms import (
    Bend,
    Detail,
    Family,
    ForceUnit,
    HardnessScale,
    IdentifiedBy,
    InsertState,
    LengthUnit,
    Lubricated,
    Method,
    NutThread,
    OtherEnd,
    PressureUnit,
    RingCondition,
    RingEdge,
    RingStyle,
    Seam,
    TemperatureUnit,
)

Id = Annotated[str, Meta(min_length=1, max_length=80)]
"""An id of a row; one that the revision does not know is a finding, not a problem."""
Name = Annotated[str, Meta(min_length=1, max_length=120)]
RevisionId = Annotated[str, Meta(pattern="^sha256:[0-9a-f]{64}$", min_length=71, max_length=71)]
Word = Annotated[str, Meta(pattern="^[A-Za-z0-9][A-Za-z0-9._+-]*$", min_length=1, max_length=80)]
"""An id of a table that a shop fills itself; one that it does not hold is a finding too."""
ClientRef = Annotated[str, Meta(max_length=120)]
Uses = Annotated[int, Meta(ge=0, le=10_000_000)]
ProofFactor = Annotated[float, Meta(ge=1, le=10)]


class Hardness(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A measured hardness; a limit is only ever compared in its own scale."""

    value: Annotated[float, Meta(gt=0, le=10_000)]
    scale: HardnessScale


class TubeBend(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A bend of the tube; `radius` is that of its centre line."""

    radius: Length | UnsetType = UNSET


class TubeFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What is known of the tube: nominal od and wall, grade, what was measured or read.

    `quality_factor` is that of the weld by the code of the line; seamless tube has none.
    """

    od: Length | UnsetType = UNSET
    wall: Length | UnsetType = UNSET
    material: Id | UnsetType = UNSET
    measured_od: Length | UnsetType = UNSET
    caliper_uncertainty: LengthFromZero | UnsetType = UNSET
    identified_by: IdentifiedBy | UnsetType = UNSET
    seam: Seam | UnsetType = UNSET
    quality_factor: Annotated[float, Meta(ge=1e-9, le=1)] | UnsetType = UNSET
    coating: Word | UnsetType = UNSET
    hardness: Hardness | UnsetType = UNSET
    insert: InsertState | UnsetType = UNSET
    bend: Bend | UnsetType = UNSET
    straight_length: Length | UnsetType = UNSET
    bends: Annotated[tuple[TubeBend, ...], Meta(max_length=100)] | UnsetType = UNSET


class FittingFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What is known of the fitting, its cutting ring and its compression nut.

    `other_end` is `same` where both ends of the body are alike, else `rated`, with its pressure.
    """

    series: Id | UnsetType = UNSET
    ring_style: RingStyle | UnsetType = UNSET
    ring_material: Family | UnsetType = UNSET
    ring: Id | UnsetType = UNSET
    ring_condition: RingCondition | UnsetType = UNSET
    ring_source: Name | UnsetType = UNSET
    nut_source: Name | UnsetType = UNSET
    other_end: OtherEnd | UnsetType = UNSET
    other_end_rating: Pressure | UnsetType = UNSET


class ServiceFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What the line must carry."""

    working_pressure: Pressure | UnsetType = UNSET
    peak_pressure: Pressure | UnsetType = UNSET
    proof_factor: ProofFactor | UnsetType = UNSET
    temperature: Temperature | UnsetType = UNSET
    least_temperature: Temperature | UnsetType = UNSET
    pulsating: bool | UnsetType = UNSET
    fluid: Word | UnsetType = UNSET
    corrosion_allowance: LengthFromZero | UnsetType = UNSET


class ToolingFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """The forming cone and the thrust plate that lie on the bench."""

    cone: Id | UnsetType = UNSET
    plate: Id | UnsetType = UNSET


class PreparationFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What was done to the tube end, and how ring, nut and tube sit in the press."""

    cut_method: Word | UnsetType = UNSET
    out_of_square: Angle | UnsetType = UNSET
    deburred_inside: bool | UnsetType = UNSET
    deburred_outside: bool | UnsetType = UNSET
    cleaned: bool | UnsetType = UNSET
    lubricated: Annotated[tuple[Lubricated, ...], Meta(max_length=3)] | UnsetType = UNSET
    ring_edge_towards: RingEdge | UnsetType = UNSET
    nut_thread_towards: NutThread | UnsetType = UNSET
    tube_bottomed: bool | UnsetType = UNSET


class ConeUses(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Presses of a cone since its last check, on tube of each family that it may touch."""

    carbon_steel: Uses | UnsetType = UNSET
    stainless_steel: Uses | UnsetType = UNSET
    nickel_copper: Uses | UnsetType = UNSET


class ToolState(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """State of the tools on the day of the question: an input, never looked up in secret.

    `cone_uses` is the same count by family; where both are stated, the plain one counts them all.
    """

    cone_uses_since_check: Uses | UnsetType = UNSET
    cone_uses: ConeUses | UnsetType = UNSET
    gauge_calibration_due: date | UnsetType = UNSET
    gauge_zero_checked: bool | UnsetType = UNSET


class CheckedTool(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """State of one tool: the day that a gauge's calibration is due, the presses of a cone."""

    calibration_due: date | UnsetType = UNSET
    uses_since_check: Uses | UnsetType = UNSET


class Received(Struct, frozen=True, kw_only=True, gc=False):
    """The day by the clock of whoever received the question; `fixed` where a setting says it.

    It comes beside a question and is no field of one, so that whoever asks cannot state it.
    """

    on: date
    fixed: bool = False


class AnswerUnits(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Units of the answer; a dial is always told in the unit printed on it."""

    length: LengthUnit = "mm"
    pressure: PressureUnit = "bar"
    force: ForceUnit = "kN"
    temperature: TemperatureUnit = "degC"


class PressTargetQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """How far is this ring pressed? With press and gauge a dial window, without them the force."""

    tube: TubeFacts = TubeFacts()
    fitting: FittingFacts = FittingFacts()
    press: Id | UnsetType = UNSET
    gauge: Id | UnsetType = UNSET
    on: date | UnsetType = UNSET
    tool_state: ToolState | UnsetType = UNSET
    answer_in: AnswerUnits = AnswerUnits()
    detail: Detail = "brief"
    revision: RevisionId | UnsetType = UNSET
    client_ref: ClientRef | UnsetType = UNSET


class PickItem(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """One line of a work order: so many ends of this tube in this fitting series."""

    tube: TubeFacts = TubeFacts()
    fitting: FittingFacts = FittingFacts()
    service: ServiceFacts | UnsetType = UNSET
    quantity: Annotated[int, Meta(ge=1, le=1_000_000)] | UnsetType = UNSET
    client_ref: ClientRef | UnsetType = UNSET


class ToolingPickQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Which cone, plate, press and gauge for each line of a work order?

    `tools` is what is known of gauges and cones on the day `on`, by their ids.
    """

    items: Annotated[tuple[PickItem, ...], Meta(min_length=1, max_length=1000)]
    on: date | UnsetType = UNSET
    tools: Annotated[dict[Id, CheckedTool], Meta(max_length=1000)] | UnsetType = UNSET
    answer_in: AnswerUnits = AnswerUnits()
    detail: Detail = "brief"
    revision: RevisionId | UnsetType = UNSET


class SetupCheckQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Is this setup right? Any part of it, in any order."""

    tube: TubeFacts = TubeFacts()
    fitting: FittingFacts = FittingFacts()
    service: ServiceFacts = ServiceFacts()
    tooling: ToolingFacts = ToolingFacts()
    press: Id | UnsetType = UNSET
    gauge: Id | UnsetType = UNSET
    intended_reading: Pressure | UnsetType = UNSET
    contact_reading: Pressure | UnsetType = UNSET
    contact_checked: bool | UnsetType = UNSET
    preparation: PreparationFacts = PreparationFacts()
    on: date | UnsetType = UNSET
    tool_state: ToolState | UnsetType = UNSET
    answer_in: AnswerUnits = AnswerUnits()
    detail: Detail = "brief"
    revision: RevisionId | UnsetType = UNSET
    client_ref: ClientRef | UnsetType = UNSET


class RatedTube(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """The tube of a rating: nominal od and wall, and a grade unless a stress is given."""

    od: Length | UnsetType = UNSET
    wall: Length | UnsetType = UNSET
    material: Id | UnsetType = UNSET


class TubeRatingQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What pressure does this tube carry, by each method asked?

    With `allowable_stress` the stress is used as given, with no tolerance, factor or derating that
    the question does not name. A grade that may be welded needs its `quality_factor`, which every
    method counts; `weld_factor` and `y_coefficient` are of ASME B31.3.
    """

    tube: RatedTube = RatedTube()
    temperature: Temperature | UnsetType = UNSET
    allowable_stress: Pressure | UnsetType = UNSET
    methods: Annotated[tuple[Method, ...], Meta(min_length=1, max_length=7)] = ("iso-10763",)
    pressure: Pressure | UnsetType = UNSET
    proof_factor: ProofFactor | UnsetType = UNSET
    design_factor: Annotated[float, Meta(ge=1, le=20)] | UnsetType = UNSET
    corrosion_allowance: LengthFromZero | UnsetType = UNSET
    wall_under_tolerance_percent: Annotated[float, Meta(ge=0, lt=100)] | UnsetType = UNSET
    quality_factor: Annotated[float, Meta(ge=1e-9, le=1)] | UnsetType = UNSET
    weld_factor: Annotated[float, Meta(ge=1e-9, le=1)] | UnsetType = UNSET
    y_coefficient: Annotated[float, Meta(ge=0, le=1)] | UnsetType = UNSET
    answer_in: AnswerUnits = AnswerUnits()
    detail: Detail = "brief"
    revision: RevisionId | UnsetType = UNSET
    client_ref: ClientRef | UnsetType = UNSET


Question = PressTargetQuestion | ToolingPickQuestion | SetupCheckQuestion | TubeRatingQuestion
