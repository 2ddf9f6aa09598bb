"""Which cone, plate, press and gauge one line of a work order needs."""

from collections.abc import Collection, Iterable, Sequence
from functools import lru_cache

from msgspec import UNSET, Struct, UnsetType, structs

from catalog.answers.headline import with_cautions
from catalog.answers.judging import Judged, judged
from catalog.answers.shapes import (
    AssemblyRating,
    ExcludedPair,
    Loads,
    Next,
    Pair,
    PartsList,
    PressTarget,
)
from catalog.facts import Assumption
from catalog.findings import CODES, Finding
from catalog.index import Index
from catalog.provenance import SourceNote
from catalog.questions import AnswerUnits, PickItem
from catalog.rows import Cone, Gauge, Plate, Press, Row, Target
from catalog.rules import BASE_RULES, CALIBRATION_RULES, PAIR_RULES, Groups, raised_by
from catalog.rules.raised import Raised
from catalog.setup.day import NO_DAY, Day
from catalog.setup.pair import pair_subjects
from catalog.setup.pressing import Pressing, pressing
from catalog.setup.resolving import Setup, pick_setup, with_pair
from catalog.setup.tube import needs_insert
from catalog.terms import Detail, InsertState, PressureUnit, Verdict
from catalog.working import WorkingStep

_NOT_JUDGED = (
    "not the preparation of the end, nor the state of a tool on the day but what `tools` states"
)
SCOPE_RATED = f"picks the tooling and rates the assembly: {_NOT_JUDGED}"
SCOPE_UNRATED = (
    "picks the tooling alone: no service is stated, so the working pressure is not rated; "
    f"{_NOT_JUDGED}"
)


Rank = tuple[bool, bool, float, int, float, str, str]
"""Place of a pair in the ranking, the least first."""


class Picked(Struct, frozen=True, kw_only=True):
    """All that is known of one item, in the detail of the question; `Batch` says what of it."""

    verdict: Verdict
    headline: str
    scope: str
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    working: tuple[WorkingStep, ...]
    sources: tuple[SourceNote, ...]
    next: Next | UnsetType
    client_ref: str | UnsetType
    cone: str | UnsetType
    plate: str | UnsetType
    ring: str | UnsetType
    insert: InsertState | UnsetType
    quantities: PartsList | UnsetType
    pairs: tuple[Pair, ...]
    excluded: tuple[ExcludedPair, ...]
    target: PressTarget | UnsetType
    assembly: AssemblyRating | UnsetType
    loads: Loads | UnsetType


class Tried(Struct, frozen=True, gc=False):
    """A press with one of its gauges, the codes against it, and its place in the ranking."""

    press: Press
    gauge: Gauge
    codes: tuple[str, ...]
    rank: Rank

    @property
    def marks(self) -> int:
        """Marks of the dial in the window, 0 at contact."""
        return -self.rank[3]

    @property
    def refused(self) -> bool:
        """Whether one of the codes refuses the pair, rather than leaving it open."""
        return any(CODES[code].severity == "reject" for code in self.codes)


def picked(
    index: Index,
    item: PickItem,
    units: AnswerUnits,
    rules: Groups = BASE_RULES,
    pair_rules: Groups = PAIR_RULES,
    day: Day = NO_DAY,
    detail: Detail = "full",
) -> Picked:
    """Tooling for one item: the press and gauge pairs that can do it on the day, best first."""
    setup = pick_setup(index, item, units, day)
    tried: tuple[Tried, ...] = ()
    if setup.target is not None:
        tools = setup.cone, setup.plate
        tried = tried_pairs(setup.target, *tools, index.pairs, units.pressure, pair_rules)
        if day.tools:
            dated = [_on_the_day(setup, each) for each in tried]
            tried = tuple(sorted(dated, key=lambda each: each.rank))
    able = [each for each in tried if not each.codes]
    best = next(iter(able or [each for each in tried if not each.refused]), None)
    chosen = setup if best is None else with_pair(setup, best.press, best.gauge)
    # Every pair that was tried decides the list, so the answer rests on all of them.
    stood = tuple(dict.fromkeys(row for each in tried for row in (each.press, each.gauge)))
    found = judged(
        index, chosen, (*rules, *pair_rules), _no_pair(setup, best, stood), stood, detail
    )
    return _picked(item, setup, found, tried)


def _picked(item: PickItem, setup: Setup, found: Judged, tried: Sequence[Tried]) -> Picked:
    insert = _insert(setup)
    allowed = found.next is UNSET
    return Picked(
        verdict=found.verdict,
        headline=with_cautions(_headline(setup, tried, insert), found.findings)
        if allowed
        else found.headline,
        scope=SCOPE_UNRATED if setup.service is None else SCOPE_RATED,
        findings=found.findings,
        assumptions=found.assumptions,
        working=found.working,
        sources=found.sources,
        next=found.next,
        client_ref=item.client_ref,
        cone=UNSET if setup.cone is None else setup.cone.id,
        plate=UNSET if setup.plate is None else setup.plate.id,
        ring=UNSET if setup.fitting.ring is None else setup.fitting.ring.id,
        insert=UNSET if insert is None else insert,
        quantities=_quantities(item, insert),
        pairs=()
        if found.verdict == "rejected"
        else tuple(
            Pair(
                press=each.press.id,
                gauge=each.gauge.id,
                marks=each.marks if allowed and each.marks else UNSET,
            )
            for each in tried
            if not each.codes
        ),
        # Why a pair cannot do it follows from what may be withdrawn.
        excluded=()
        if found.findings and found.findings[0].code == "revision.withdrawn"
        else tuple(
            ExcludedPair(press=each.press.id, gauge=each.gauge.id, codes=each.codes)
            for each in tried
            if each.codes
        ),
        target=UNSET if found.target is None else found.target,
        assembly=UNSET if found.assembly is None else found.assembly,
        loads=UNSET if found.loads is None else found.loads,
    )


@lru_cache(maxsize=8192)
def tried_pairs(
    target: Target,
    cone: Cone | None,
    plate: Plate | None,
    pairs: tuple[tuple[Press, Gauge], ...],
    unit: PressureUnit,
    rules: Groups,
) -> tuple[Tried, ...]:
    """Every press with each of its gauges on a target, best first.

    Tried by the target alone, so that no other fact of an item can sway it: what was found for one
    item holds for every item of that target, and is remembered.
    """
    tried = (
        _try(pressing(target, press, gauge, cone, plate), unit, rules) for press, gauge in pairs
    )
    return tuple(sorted(tried, key=lambda each: each.rank))


def _on_the_day(setup: Setup, tried: Tried) -> Tried:
    """The same pair with what the state of its gauge adds: what is remembered knows no day."""
    if tried.gauge.id not in setup.day.tools:
        return tried
    paired = with_pair(setup, tried.press, tried.gauge)
    codes = [raised.code for raised in raised_by(CALIBRATION_RULES, paired.subjects())]
    cautions = any(CODES[code].severity == "caution" for code in codes)
    return structs.replace(
        tried,
        codes=(*tried.codes, *_against(codes)),
        rank=(tried.rank[0] or cautions, *tried.rank[1:]),
    )


def _against(codes: Iterable[str]) -> tuple[str, ...]:
    return tuple(code for code in codes if CODES[code].severity in {"reject", "unknown"})


def _try(numbers: Pressing, unit: PressureUnit, rules: Groups) -> Tried:
    press, gauge = numbers.press, numbers.gauge
    subjects = pair_subjects(AnswerUnits(), press, gauge, numbers)
    codes = dict.fromkeys(raised.code for raised in raised_by(rules, subjects))
    return Tried(press, gauge, _against(codes), _rank(numbers, unit, codes))


def _rank(numbers: Pressing, unit: PressureUnit, codes: Collection[str]) -> Rank:
    """Place in the ranking.

    Without a caution first, then a dial in the unit asked for, then the smallest press, then the
    most marks in the window and the widest margin, then ids. The margin is the distance from the
    mark to stop at to the nearer end of the window, at contact from the expected reading to the
    limit, as a share of the nominal reading.
    """
    press, gauge = numbers.press, numbers.gauge
    cautions = any(CODES[code].severity == "caution" for code in codes)
    marks = 0
    margin_mpa = numbers.never_exceed_mpa - numbers.nominal_mpa
    if numbers.stop_mpa is not None and numbers.contact is None:
        marks = numbers.marks
        stop_mpa, window = numbers.stop_mpa, numbers.usable
        margin_mpa = min(stop_mpa - window.low_mpa, window.high_mpa - stop_mpa)
    margin = round(margin_mpa / numbers.nominal_mpa, 9)
    unasked = gauge.unit != unit
    return (cautions, unasked, press.ram_area_cm2, -marks, -margin, press.id, gauge.id)


def _headline(setup: Setup, tried: Sequence[Tried], insert: InsertState | None) -> str:
    """What to lay out on the bench; how far to press is told there."""
    best = next(each for each in tried if not each.codes)
    laid_out = [each.id for each in (setup.cone, setup.plate) if each is not None]
    if insert == "fitted":
        laid_out.append("a support insert")
    unrated = ", pressure not rated" if setup.service is None else ""
    return f"{', '.join(laid_out)}, {best.press.id} with {best.gauge.id}{unrated}"


def _no_pair(setup: Setup, best: Tried | None, stood: tuple[Row, ...]) -> list[Raised]:
    if setup.target is None or best is not None:
        return []
    message = "no press with any of its gauges can do it: `excluded` of full detail has each reason"
    return [Raised("press.no-pair", "", message, (setup.target, *stood))]


def _insert(setup: Setup) -> InsertState | None:
    """Insert that the wall asks for, whether or not the question says that it is fitted."""
    row, wall_mm = setup.tube.insert_row, setup.tube.wall_mm
    if row is None or wall_mm is None:
        return None
    return "fitted" if needs_insert(row, wall_mm) else "none"


def _quantities(item: PickItem, insert: InsertState | None) -> PartsList | UnsetType:
    if item.quantity is UNSET or insert is None:
        return UNSET
    ends = item.quantity
    return PartsList(rings=ends, nuts=ends, inserts=ends if insert == "fitted" else 0)
