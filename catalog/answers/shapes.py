"""The answers as Structs: what each caller gets back.

A part that does not apply or is not known is left out, never null.
"""

from datetime import date
from typing import Annotated

from msgspec import UNSET, Struct, UnsetType

from catalog.facts import Assumption
from catalog.findings import Finding
from catalog.provenance import SourceNote
from catalog.quantities import Quantity
from catalog.questions import CheckedTool, ToolState
from catalog.setup.pressing import Cut
from catalog.terms import (
    Finish,
    Governing,
    InsertState,
    Lubricated,
    Method,
    StepId,
    StepState,
    Verdict,
)
from catalog.wanted import about
from catalog.working import WorkingStep


class ForceBand(Struct, frozen=True, kw_only=True, gc=False):
    """The forces between which the ring is pressed rightly."""

    low: Annotated[Quantity, about("least force")]
    high: Annotated[Quantity, about("greatest force")]


class Dial(Struct, frozen=True, kw_only=True, gc=False):
    """What the gauge may show, in the unit printed on it: the mark to stop at and the window.

    `cut_by` says what ends the window before the force band does.
    """

    stop_at: Annotated[Quantity, about("mark to stop at")]
    low: Annotated[Quantity, about("least reading of the window")]
    high: Annotated[Quantity, about("greatest reading of the window")]
    marks: Annotated[int, about("graduations inside the window")]
    cut_by: Annotated[
        Cut | UnsetType, about("what ends the window early; left out: the force band does")
    ] = UNSET


class ReadingBand(Struct, frozen=True, kw_only=True, gc=False):
    """The readings between which contact is expected, in the unit printed on the dial."""

    low: Annotated[Quantity, about("least reading at which contact is expected")]
    high: Annotated[Quantity, about("greatest reading at which contact is expected")]


class Conditions(Struct, frozen=True, kw_only=True, gc=False):
    """What a force was found under: it holds for no other.

    `lubricate` is empty where ring and cone are pressed dry; `hold` is how long to hold the force.
    """

    lubricate: Annotated[
        tuple[Lubricated, ...], about("parts to lubricate; empty where they stay dry")
    ]
    insert: Annotated[InsertState, about("whether a support insert is in the tube")]
    ring: Annotated[
        str | UnsetType,
        about("id of the ring set that the force holds for; left out: any of the series"),
    ] = UNSET
    hold: Annotated[
        Quantity | UnsetType, about("how long to hold the force; left out: not at all")
    ] = UNSET


class PressTarget(Struct, frozen=True, kw_only=True, gc=False, cache_hash=True):
    """How far to press: to a reading, or until the nut meets the cone, under a ceiling.

    `dial` is given for a finish at pressure with press and gauge known; at contact
    `expected_reading` is only about where the gauge will be when the nut meets the cone.
    """

    finish: Annotated[Finish, about("what ends the pressing")]
    insert: Annotated[InsertState, about("whether a support insert is in the tube")]
    conditions: Annotated[Conditions | UnsetType, about("what the force holds under")] = UNSET
    force: Annotated[Quantity, about("force to press with")]
    force_band: Annotated[ForceBand, about("forces between which the ring is pressed rightly")]
    ceiling: Annotated[Quantity | UnsetType, about("force that is never exceeded")] = UNSET
    dial: Annotated[
        Dial | UnsetType, about("mark and window; left out at contact, and without press and gauge")
    ] = UNSET
    expected_reading: Annotated[
        Quantity | UnsetType, about("reading at which contact is expected; at contact alone")
    ] = UNSET
    expected_band: Annotated[
        ReadingBand | UnsetType,
        about("readings between which contact is expected; at contact alone"),
    ] = UNSET
    never_exceed: Annotated[
        Quantity | UnsetType, about("reading that is never exceeded, in the unit of the dial")
    ] = UNSET
    oil_volume: Annotated[Quantity | UnsetType, about("oil that the stroke takes")] = UNSET
    pump_strokes: Annotated[
        int | UnsetType, about("strokes of the hand pump, rounded up; left out: it has none")
    ] = UNSET


class Limit(Struct, frozen=True, kw_only=True, gc=False):
    """One limit of the assembly: `tube`, `tube-yield`, `fitting` or `seal`."""

    of: Annotated[
        str, about("what the limit is of: `tube`, `tube-yield`, `fitting`, `seal` or `other-end`")
    ]
    pressure: Annotated[Quantity, about("pressure that it carries")]
    method: Annotated[str, about("how the limit was found")]


class AssemblyRating(Struct, frozen=True, kw_only=True):
    """The lowest limit governs; `margin` is that limit over the pressure that counts."""

    pressure: Annotated[Quantity, about("lowest limit")]
    governing: Annotated[str, about("what that limit is of")]
    counted_pressure: Annotated[Quantity, about("pressure of the line that counts, with its peak")]
    margin: Annotated[float, about("lowest limit over the pressure that counts, without unit")]
    limits: Annotated[tuple[Limit, ...], about("every limit")]


class Loads(Struct, frozen=True, kw_only=True, gc=False):
    """What pulls at the ring and the nut at the pressure that counts, alone and x design factor."""

    separation_force: Annotated[
        Quantity, about("force that pulls tube and ring out of the fitting")
    ]
    separation_force_at_design_factor: Annotated[
        Quantity, about("the same at pressure x design factor")
    ]
    nut_load: Annotated[Quantity, about("force on the thread of the nut")]
    nut_load_at_design_factor: Annotated[Quantity, about("the same at pressure x design factor")]
    design_factor: Annotated[float, about("design factor of the series, without unit")]


class Next(Struct, frozen=True, kw_only=True, gc=False):
    """The one thing to state or do next."""

    at: Annotated[str, about("JSON pointer of the field")]
    do: Annotated[str, about("what to state or do")]
    code: Annotated[str, about("code of the finding that asks for it")]


# What several answers give back, with the sentence that the contract says of it.
EchoedRef = Annotated[str | UnsetType, about("text of the caller, as it was given")]
AnsweredDay = Annotated[date | UnsetType, about("day that the question is answered for")]
MayBeTarget = Annotated[
    PressTarget | UnsetType,
    about(
        "how far to press, as far as it may be told: force and band while something is unknown, "
        "the dial too where only the intended reading is missing or wrong; never by itself a "
        "reason to press: look at the verdict first"
    ),
]
ReceivedDay = Annotated[date | UnsetType, about("day by the clock of the service")]


class Answer(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What every answer says: the verdict, what it rests on, and what it was told.

    `headline` is one line for a phone or a label. `next` is there unless the verdict allows.
    `assumptions`, `working` and `sources` are of full detail.
    """

    verdict: Annotated[Verdict, about("whether to press")]
    headline: Annotated[str, about("one line for a phone or a label")]
    next: Annotated[
        Next | UnsetType, about("the one thing to state or do next; left out: nothing")
    ] = UNSET
    revision: Annotated[str, about("id of the revision that answered")]
    rules: Annotated[str, about("version of the rules that answered")]
    scope: Annotated[str, about("what the verdict is about")]
    findings: Annotated[
        tuple[Finding, ...], about("what was found, in the order of the bench's steps")
    ]
    assumptions: Annotated[
        tuple[Assumption, ...], about("what was taken as given; full detail")
    ] = ()
    working: Annotated[tuple[WorkingStep, ...], about("every calculation; full detail")] = ()
    sources: Annotated[
        tuple[SourceNote, ...], about("sources that the answer rests on; full detail")
    ] = ()


class PressTargetAnswer(Answer, frozen=True, kw_only=True):
    """How far this ring is pressed, or why not."""

    client_ref: EchoedRef = UNSET
    on: AnsweredDay = UNSET
    received_on: ReceivedDay = UNSET
    tool_state: Annotated[ToolState | UnsetType, about("state of the tools, as it was given")] = (
        UNSET
    )
    target: MayBeTarget = UNSET


class Pair(Struct, frozen=True, kw_only=True, gc=False):
    """A press with one of its gauges, and how many marks of the dial lie in the window.

    `marks` is left out for a ring that finishes at contact, and where pressing is not allowed.
    """

    press: Annotated[str, about("id of the press")]
    gauge: Annotated[str, about("id of the gauge")]
    marks: Annotated[
        int | UnsetType, about("graduations inside the window; left out at contact")
    ] = UNSET


class ExcludedPair(Struct, frozen=True, kw_only=True, gc=False):
    """A press with one of its gauges that cannot do it, and the codes that say why."""

    press: Annotated[str, about("id of the press")]
    gauge: Annotated[str, about("id of the gauge")]
    codes: Annotated[tuple[str, ...], about("codes that say why it cannot")]


class PartsList(Struct, frozen=True, kw_only=True, gc=False):
    """Parts for the ends of the line asked for."""

    rings: Annotated[int, about("cutting rings")]
    nuts: Annotated[int, about("compression nuts")]
    inserts: Annotated[int, about("support inserts")]


class PickedItem(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Tooling for one line of a work order; `pairs` can do it, best first.

    What is said of the data (`data.*`) counts for the verdict and stands once in the answer. Brief,
    an item names the first three pairs; full detail adds all of them, the assumptions, the pairs
    that cannot do it, and the target and rating with the first pair, whose working is number
    `working` of the answer's `workings`, from 0.
    """

    client_ref: EchoedRef = UNSET
    verdict: Annotated[Verdict, about("whether to press")]
    headline: Annotated[str, about("one line for a label")]
    next: Annotated[
        Next | UnsetType, about("the one thing to state or do next; left out: nothing")
    ] = UNSET
    scope: Annotated[str, about("what the verdict is about")]
    findings: Annotated[
        tuple[Finding, ...], about("what was found, in the order of the bench's steps")
    ]
    cone: Annotated[str | UnsetType, about("id of the cone; left out: none is known")] = UNSET
    plate: Annotated[str | UnsetType, about("id of the plate; left out: none is known")] = UNSET
    ring: Annotated[str | UnsetType, about("id of the ring set; left out: any of the series")] = (
        UNSET
    )
    insert: Annotated[InsertState | UnsetType, about("whether a support insert is wanted")] = UNSET
    quantities: Annotated[
        PartsList | UnsetType,
        about("parts for the ends of this line; left out: no quantity was given"),
    ] = UNSET
    pairs: Annotated[
        tuple[Pair, ...],
        about("presses and gauges that can do it, best first; brief detail names three"),
    ] = ()
    assumptions: Annotated[
        tuple[Assumption, ...], about("what was taken as given; full detail")
    ] = ()
    working: Annotated[
        int | UnsetType, about("number of its working in `workings`, from 0; full detail")
    ] = UNSET
    excluded: Annotated[
        tuple[ExcludedPair, ...], about("presses and gauges that cannot do it; full detail")
    ] = ()
    target: Annotated[
        PressTarget | UnsetType, about("how far to press on the first pair; full detail")
    ] = UNSET
    assembly: Annotated[
        AssemblyRating | UnsetType, about("what the assembly carries; full detail")
    ] = UNSET
    loads: Annotated[Loads | UnsetType, about("what pulls at ring and nut; full detail")] = UNSET


class ToolingPickAnswer(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One revision and one day for all items; the verdict is that of the gravest item.

    `findings` says once what is said of the data for any item. `workings`, each different one once,
    and `sources` are of full detail.
    """

    verdict: Annotated[Verdict, about("verdict of the gravest item")]
    revision: Annotated[str, about("id of the revision that answered")]
    rules: Annotated[str, about("version of the rules that answered")]
    findings: Annotated[tuple[Finding, ...], about("what is said of the data for any item")]
    items: Annotated[tuple[PickedItem, ...], about("one for each line, in their order")]
    workings: Annotated[
        tuple[tuple[WorkingStep, ...], ...], about("each different working once; full detail")
    ] = ()
    sources: Annotated[
        tuple[SourceNote, ...], about("sources that the answer rests on; full detail")
    ] = ()
    on: AnsweredDay = UNSET
    received_on: ReceivedDay = UNSET
    tools: Annotated[
        dict[str, CheckedTool] | UnsetType, about("state of the tools, as it was given")
    ] = UNSET


class StepReport(Struct, frozen=True, kw_only=True, gc=False):
    """One step of the bench: done right, still open, or wrong."""

    id: Annotated[StepId, about("step of the bench")]
    state: Annotated[StepState, about("done right, still open, or wrong")]


class SetupCheckAnswer(Answer, frozen=True, kw_only=True):
    """What is wrong with a setup, what is still unknown, and the target once it is known.

    `next_fields` are all that are still to be stated, in the order of the bench: full detail.
    """

    steps: Annotated[tuple[StepReport, ...], about("every step of the bench, in order")]
    next_fields: Annotated[
        tuple[str, ...], about("JSON pointers of all that is still to be stated; full detail")
    ] = ()
    client_ref: EchoedRef = UNSET
    on: AnsweredDay = UNSET
    received_on: ReceivedDay = UNSET
    tool_state: Annotated[ToolState | UnsetType, about("state of the tools, as it was given")] = (
        UNSET
    )
    target: MayBeTarget = UNSET
    assembly: Annotated[
        AssemblyRating | UnsetType,
        about("what the assembly carries; left out: it could not be rated"),
    ] = UNSET
    loads: Annotated[
        Loads | UnsetType, about("what pulls at ring and nut; left out: they are not known")
    ] = UNSET


class MethodRating(Struct, frozen=True, kw_only=True, gc=False):
    """Pressure by one method; `required_wall` is the nominal wall for the pressure asked."""

    method: Annotated[Method, about("method of the rating")]
    pressure: Annotated[Quantity, about("pressure that the tube carries")]
    stress: Annotated[Quantity, about("stress that was counted")]
    required_wall: Annotated[
        Quantity | UnsetType, about("nominal wall for the pressure asked; left out: none was asked")
    ] = UNSET


class TubeRatingAnswer(Answer, frozen=True, kw_only=True):
    """What the tube carries by each method; the lowest of those and of the yield limit governs."""

    verdict: Annotated[Verdict, about("whether the tube carries it")]
    ratings: Annotated[tuple[MethodRating, ...], about("one for each method that could be told")]
    client_ref: EchoedRef = UNSET
    governing: Annotated[
        Governing | UnsetType,
        about("what sets the lowest pressure; left out: one of them is not known"),
    ] = UNSET
    yield_limit: Annotated[
        Quantity | UnsetType,
        about("pressure at which the bore begins to yield, with the proof factor"),
    ] = UNSET
