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
from catalog.wanted import about

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

    value: Annotated[
        float,
        Meta(gt=0, le=10_000),
        about("reading of the hardness tester"),
    ]
    scale: Annotated[HardnessScale, about("scale of the reading")]


class TubeBend(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A bend of the tube; `radius` is that of its centre line."""

    radius: Annotated[
        Length | UnsetType,
        about("radius of the centre line; left out: the bend is not counted in a rating"),
    ] = UNSET


class TubeFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What is known of the tube: nominal od and wall, grade, what was measured or read.

    `quality_factor` is that of the weld by the code of the line; seamless tube has none.
    """

    od: Annotated[
        Length | UnsetType, about("nominal outside diameter, as ordered or marked; must be stated")
    ] = UNSET
    wall: Annotated[Length | UnsetType, about("nominal wall; must be stated")] = UNSET
    material: Annotated[
        Id | UnsetType, about("id of the grade (vocabulary: `materials`); must be stated")
    ] = UNSET
    measured_od: Annotated[
        Length | UnsetType,
        about("outside diameter by caliper at the tube end; a setup must state it"),
    ] = UNSET
    caliper_uncertainty: Annotated[
        LengthFromZero | UnsetType,
        about(
            "plus or minus by the caliper, counted as half of the shop's or more; left out: the "
            "shop's"
        ),
    ] = UNSET
    identified_by: Annotated[
        IdentifiedBy | UnsetType,
        about("how the size was told; asked for where two sizes could be meant"),
    ] = UNSET
    seam: Annotated[
        Seam | UnsetType, about("seamless, or what became of the weld bead; a setup must state it")
    ] = UNSET
    quality_factor: Annotated[
        Annotated[float, Meta(ge=1e-9, le=1)] | UnsetType,
        about("weld quality factor, without unit; seamless tube has none"),
    ] = UNSET
    coating: Annotated[
        Word | UnsetType,
        about("id of the coating (vocabulary: `coatings`); left out: taken as `none`"),
    ] = UNSET
    hardness: Annotated[
        Hardness | UnsetType,
        about("measured hardness; left out: taken as within the limit of the grade"),
    ] = UNSET
    insert: Annotated[
        InsertState | UnsetType,
        about("whether a support insert is fitted; must be stated where the wall asks for one"),
    ] = UNSET
    bend: Annotated[
        Bend | UnsetType, about("whether a bend begins near the tube end; a setup must state it")
    ] = UNSET
    straight_length: Annotated[
        Length | UnsetType,
        about("straight tube from the end to the bend; must be stated with `bend` `near-end`"),
    ] = UNSET
    bends: Annotated[
        Annotated[tuple[TubeBend, ...], Meta(max_length=100)] | UnsetType,
        about("bends of the tube; left out: none is counted"),
    ] = UNSET


class FittingFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What is known of the fitting, its cutting ring and its compression nut.

    `other_end` is `same` where both ends of the body are alike, else `rated`, with its pressure.
    """

    series: Annotated[
        Id | UnsetType, about("id of the series (vocabulary: `series`); must be stated")
    ] = UNSET
    ring_style: Annotated[RingStyle | UnsetType, about("how the ring seals; must be stated")] = (
        UNSET
    )
    ring_material: Annotated[Family | UnsetType, about("material of the ring; must be stated")] = (
        UNSET
    )
    ring: Annotated[
        Id | UnsetType,
        about("id of a matched ring set (vocabulary: `rings`); left out: any of the series"),
    ] = UNSET
    ring_condition: Annotated[
        RingCondition | UnsetType,
        about("whether the ring was pressed before; left out: taken as `new`"),
    ] = UNSET
    ring_source: Annotated[
        Name | UnsetType,
        about("who made the ring; left out: ring and nut taken as one set"),
    ] = UNSET
    nut_source: Annotated[
        Name | UnsetType,
        about("who made the nut; left out: ring and nut taken as one set"),
    ] = UNSET
    other_end: Annotated[
        OtherEnd | UnsetType,
        about("the other end of the body; left out: a caution says that its rating is not known"),
    ] = UNSET
    other_end_rating: Annotated[
        Pressure | UnsetType,
        about("rated pressure of the other end; required with `other_end` `rated`"),
    ] = UNSET


class ServiceFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What the line must carry."""

    working_pressure: Annotated[
        Pressure | UnsetType, about("highest pressure of normal work; a setup must state it")
    ] = UNSET
    peak_pressure: Annotated[
        Pressure | UnsetType,
        about("highest peak; must be stated where it pulsates; left out: taken as none"),
    ] = UNSET
    proof_factor: Annotated[
        ProofFactor | UnsetType,
        about("proof over counted pressure, without unit; left out: taken as 1.5"),
    ] = UNSET
    temperature: Annotated[
        Temperature | UnsetType, about("highest temperature of the line; a setup must state it")
    ] = UNSET
    least_temperature: Annotated[
        Temperature | UnsetType,
        about("lowest temperature; an elastomer seal wants it; left out: taken as -20 degC"),
    ] = UNSET
    pulsating: Annotated[
        bool | UnsetType, about("whether the pressure pulsates; a setup must state it")
    ] = UNSET
    fluid: Annotated[
        Word | UnsetType,
        about("id of the fluid (vocabulary: `fluids`); left out: taken as `mineral-oil`"),
    ] = UNSET
    corrosion_allowance: Annotated[
        LengthFromZero | UnsetType, about("wall that corrosion may take; left out: taken as 0 mm")
    ] = UNSET


class ToolingFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """The forming cone and the thrust plate that lie on the bench."""

    cone: Annotated[
        Id | UnsetType, about("id of the forming cone (vocabulary: `cones`); a setup must state it")
    ] = UNSET
    plate: Annotated[
        Id | UnsetType,
        about("id of the thrust plate (vocabulary: `plates`); a setup must state it"),
    ] = UNSET


class PreparationFacts(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What was done to the tube end, and how ring, nut and tube sit in the press."""

    cut_method: Annotated[
        Word | UnsetType,
        about("how the end was cut (vocabulary: `cut_methods`); a setup must state it"),
    ] = UNSET
    out_of_square: Annotated[
        Angle | UnsetType, about("how far the cut is out of square; a setup must state it")
    ] = UNSET
    deburred_inside: Annotated[
        bool | UnsetType, about("whether the inner edge was deburred; a setup must state it")
    ] = UNSET
    deburred_outside: Annotated[
        bool | UnsetType, about("whether the outer edge was deburred; a setup must state it")
    ] = UNSET
    cleaned: Annotated[
        bool | UnsetType, about("whether the tube end was cleaned; a setup must state it")
    ] = UNSET
    lubricated: Annotated[
        Annotated[tuple[Lubricated, ...], Meta(max_length=3)] | UnsetType,
        about("parts that were lubricated, `[]` where all are dry; a setup must state it"),
    ] = UNSET
    ring_edge_towards: Annotated[
        RingEdge | UnsetType,
        about("where the cutting edge of the ring points; a setup must state it"),
    ] = UNSET
    nut_thread_towards: Annotated[
        NutThread | UnsetType, about("where the thread of the nut points; a setup must state it")
    ] = UNSET
    tube_bottomed: Annotated[
        bool | UnsetType,
        about("whether the tube stands on the stop of the cone; a setup must state it"),
    ] = UNSET


class ConeUses(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Presses of a cone since its last check, on tube of each family that it may touch."""

    carbon_steel: Annotated[
        Uses | UnsetType, about("presses on carbon steel; left out: not counted")
    ] = UNSET
    stainless_steel: Annotated[
        Uses | UnsetType, about("presses on stainless steel; left out: not counted")
    ] = UNSET
    nickel_copper: Annotated[
        Uses | UnsetType, about("presses on nickel-copper; left out: not counted")
    ] = UNSET


class ToolState(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """State of the tools on the day of the question: an input, never looked up in secret.

    `cone_uses` is the same count by family; where both are stated, the plain one counts them all.
    """

    cone_uses_since_check: Annotated[
        Uses | UnsetType,
        about("presses since the last check; a setup states it or `cone_uses`"),
    ] = UNSET
    cone_uses: Annotated[ConeUses | UnsetType, about("the same by the material of the tube")] = (
        UNSET
    )
    gauge_calibration_due: Annotated[
        date | UnsetType,
        about("last day of the gauge's calibration, as `2026-09-30`; a setup must state it"),
    ] = UNSET
    gauge_zero_checked: Annotated[
        bool | UnsetType,
        about("whether it showed zero without pressure; a gauge with a stop pin wants it"),
    ] = UNSET


class CheckedTool(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """State of one tool: the day that a gauge's calibration is due, the presses of a cone."""

    calibration_due: Annotated[
        date | UnsetType,
        about("day on which the calibration of a gauge ends; left out: taken as not overdue"),
    ] = UNSET
    uses_since_check: Annotated[
        Uses | UnsetType,
        about("presses of a cone since its last check; left out: not known"),
    ] = UNSET


class Received(Struct, frozen=True, kw_only=True, gc=False):
    """The day by the clock of whoever received the question; `fixed` where a setting says it.

    It comes beside a question and is no field of one, so that whoever asks cannot state it.
    """

    on: date
    fixed: bool = False


class AnswerUnits(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Units of the answer; a dial is always told in the unit printed on it."""

    length: Annotated[LengthUnit, about("unit of lengths")] = "mm"
    pressure: Annotated[
        PressureUnit, about("unit of pressures; a dial is told in its own unit")
    ] = "bar"
    force: Annotated[ForceUnit, about("unit of forces")] = "kN"
    temperature: Annotated[TemperatureUnit, about("unit of temperatures")] = "degC"


# What several questions have, with the sentence that the contract says of it.
InUnits = Annotated[AnswerUnits, about("units of the answer")]
HowMuch = Annotated[Detail, about("how much is told; the verdict is the same")]
Pinned = Annotated[
    RevisionId | UnsetType,
    about("id of a stored revision to answer from; left out: the active one"),
]
Reference = Annotated[ClientRef | UnsetType, about("any text of the caller; comes back as it is")]
OnDay = Annotated[
    date | UnsetType,
    about("day of the pressing, such as `2026-03-02`; left out: today by the service"),
]
AboutTube = Annotated[TubeFacts, about("what is known of the tube")]
AboutFitting = Annotated[FittingFacts, about("what is known of fitting, ring and nut")]


class PressTargetQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """How far is this ring pressed? With press and gauge a dial window, without them the force."""

    tube: AboutTube = TubeFacts()
    fitting: AboutFitting = FittingFacts()
    press: Annotated[
        Id | UnsetType, about("id of the press (vocabulary: `presses`); left out: the force alone")
    ] = UNSET
    gauge: Annotated[
        Id | UnsetType, about("id of the gauge (vocabulary: `gauges`); left out: the force alone")
    ] = UNSET
    on: OnDay = UNSET
    tool_state: Annotated[
        ToolState | UnsetType,
        about("state of cone and gauge on that day; left out: the gauge is taken as not overdue"),
    ] = UNSET
    answer_in: InUnits = AnswerUnits()
    detail: HowMuch = "brief"
    revision: Pinned = UNSET
    client_ref: Reference = UNSET


class PickItem(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """One line of a work order: so many ends of this tube in this fitting series."""

    tube: AboutTube = TubeFacts()
    fitting: AboutFitting = FittingFacts()
    service: Annotated[
        ServiceFacts | UnsetType,
        about("what the line must carry; left out: the assembly is not rated"),
    ] = UNSET
    quantity: Annotated[
        Annotated[int, Meta(ge=1, le=1_000_000)] | UnsetType,
        about("tube ends of this line; left out: parts are not counted"),
    ] = UNSET
    client_ref: Reference = UNSET


class ToolingPickQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Which cone, plate, press and gauge for each line of a work order?

    `tools` is what is known of gauges and cones on the day `on`, by their ids.
    """

    items: Annotated[
        tuple[PickItem, ...],
        Meta(min_length=1, max_length=1000),
        about("lines of the work order"),
    ]
    on: OnDay = UNSET
    tools: Annotated[
        Annotated[dict[Id, CheckedTool], Meta(max_length=1000)] | UnsetType,
        about("gauges and cones on that day by their ids; left out: not known"),
    ] = UNSET
    answer_in: InUnits = AnswerUnits()
    detail: HowMuch = "brief"
    revision: Pinned = UNSET


class SetupCheckQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """Is this setup right? Any part of it, in any order."""

    tube: AboutTube = TubeFacts()
    fitting: AboutFitting = FittingFacts()
    service: Annotated[ServiceFacts, about("what the line must carry")] = ServiceFacts()
    tooling: Annotated[ToolingFacts, about("cone and plate on the bench")] = ToolingFacts()
    press: Annotated[
        Id | UnsetType, about("id of the press (vocabulary: `presses`); a setup must state it")
    ] = UNSET
    gauge: Annotated[
        Id | UnsetType, about("id of the gauge (vocabulary: `gauges`); a setup must state it")
    ] = UNSET
    intended_reading: Annotated[
        Pressure | UnsetType,
        about("reading to stop at, in the unit of the dial; must be stated unless at contact"),
    ] = UNSET
    contact_reading: Annotated[
        Pressure | UnsetType,
        about("reading when the nut met the cone, in the unit of the dial; for a ring at contact"),
    ] = UNSET
    contact_checked: Annotated[
        bool | UnsetType,
        about("whether ring, tube end and stop were looked at after an odd contact; left out: no"),
    ] = UNSET
    preparation: Annotated[PreparationFacts, about("what was done to the tube end")] = (
        PreparationFacts()
    )
    on: OnDay = UNSET
    tool_state: Annotated[
        ToolState | UnsetType, about("state of cone and gauge on that day; a setup must state it")
    ] = UNSET
    answer_in: InUnits = AnswerUnits()
    detail: HowMuch = "brief"
    revision: Pinned = UNSET
    client_ref: Reference = UNSET


class RatedTube(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """The tube of a rating: nominal od and wall, and a grade unless a stress is given."""

    od: Annotated[Length | UnsetType, about("nominal outside diameter; must be stated")] = UNSET
    wall: Annotated[Length | UnsetType, about("nominal wall; must be stated")] = UNSET
    material: Annotated[
        Id | UnsetType,
        about("id of the grade (vocabulary: `materials`); left out: a stress must be stated"),
    ] = UNSET


class TubeRatingQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """What pressure does this tube carry, by each method asked?

    With `allowable_stress` the stress is used as given, with no tolerance, factor or derating that
    the question does not name. A grade that may be welded needs its `quality_factor`, which every
    method counts; `weld_factor` and `y_coefficient` are of ASME B31.3.
    """

    tube: Annotated[RatedTube, about("the tube that is rated")] = RatedTube()
    temperature: Annotated[
        Temperature | UnsetType,
        about("highest temperature of the tube; left out: taken as 20 degC"),
    ] = UNSET
    allowable_stress: Annotated[
        Pressure | UnsetType, about("stress to rate by, used as it is; left out: that of the grade")
    ] = UNSET
    methods: Annotated[
        tuple[Method, ...], Meta(min_length=1, max_length=7), about("methods to rate by")
    ] = ("iso-10763",)
    pressure: Annotated[
        Pressure | UnsetType,
        about("pressure for which each method tells the wall; left out: no wall is told"),
    ] = UNSET
    proof_factor: Annotated[
        ProofFactor | UnsetType,
        about("proof over rated pressure, without unit; left out: taken as 1.5"),
    ] = UNSET
    design_factor: Annotated[
        Annotated[float, Meta(ge=1, le=20)] | UnsetType,
        about("on the strength, without unit; left out: the method's; 1 for a given stress"),
    ] = UNSET
    corrosion_allowance: Annotated[
        LengthFromZero | UnsetType, about("wall that corrosion may take; left out: taken as 0 mm")
    ] = UNSET
    wall_under_tolerance_percent: Annotated[
        Annotated[float, Meta(ge=0, lt=100)] | UnsetType,
        about(
            "percent by which the wall may be thinner; left out: the tube's standard; 0 for a "
            "given stress"
        ),
    ] = UNSET
    quality_factor: Annotated[
        Annotated[float, Meta(ge=1e-9, le=1)] | UnsetType,
        about("weld quality factor, without unit; a weldable grade wants it"),
    ] = UNSET
    weld_factor: Annotated[
        Annotated[float, Meta(ge=1e-9, le=1)] | UnsetType,
        about("ASME B31.3 factor W, without unit; left out: taken as 1"),
    ] = UNSET
    y_coefficient: Annotated[
        Annotated[float, Meta(ge=0, le=1)] | UnsetType,
        about("ASME B31.3 coefficient Y, without unit; left out: taken as 0.4"),
    ] = UNSET
    answer_in: InUnits = AnswerUnits()
    detail: HowMuch = "brief"
    revision: Pinned = UNSET
    client_ref: Reference = UNSET


Question = PressTargetQuestion | ToolingPickQuestion | SetupCheckQuestion | TubeRatingQuestion
