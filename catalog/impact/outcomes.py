"""What a revision answers to one question, boiled down to what can be compared."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from msgspec import UNSET, Struct, UnsetType, structs

from catalog.answers.grounds import assumptions_of, rows_of_setup
from catalog.answers.judging import judged
from catalog.answers.shapes import PressTarget
from catalog.findings import CODES
from catalog.impact.shapes import Doubtful, End, LimitName, Outcome, Rated, RatedLimit
from catalog.index import Index
from catalog.quantities import FACTOR, Length, Pressure, Quantity, Temperature
from catalog.questions import (
    AnswerUnits,
    FittingFacts,
    PickItem,
    PressTargetQuestion,
    ServiceFacts,
    TubeFacts,
)
from catalog.rows import Gauge, Press
from catalog.rules import BASE_RULES, PAIR_RULES, RULES, raised_by
from catalog.rules.raised import Raised
from catalog.setup.pair import pair_subjects
from catalog.setup.pressing import Pressing, forces, pressing
from catalog.setup.resolving import Setup, pick_setup, press_target_setup, with_pair
from catalog.terms import PressureUnit

Pair = tuple[str, str]
"""A press with one of its gauges."""

_UNITS: Final = AnswerUnits()
"""Those of every question that is replayed."""

_DOUBTFUL: Final[dict[str, Doubtful]] = {
    "data.memory": "memory",
    "data.demonstration": "demonstration",
}
_LIMITS: Final[dict[tuple[str, str], LimitName]] = {
    ("iso-10763", "tube"): "tube-static",
    ("asme-b31.3", "tube"): "tube-static",
    ("din-2413-pulsating", "tube"): "tube-pulsating",
    ("bore-yield", "tube-yield"): "tube-yield",
    ("rated-pressure", "fitting"): "fitting",
    ("rated-pressure", "seal"): "seal",
}


class Readings(Struct, frozen=True, kw_only=True, gc=False):
    """Readings of an answer [MPa], which are compared and not told, and the scale they stand on.

    At contact there is no mark to stop at: `reading`, `low` and `high` are what is expected.
    """

    unit: PressureUnit
    graduation: float
    mark: float | None
    reading: float | None
    low: float | None
    high: float | None
    never_exceed: float | None


class Answered(Struct, frozen=True, kw_only=True, gc=False):
    """Outcome of a question, its readings, and the rows that each caution of the data names."""

    outcome: Outcome
    readings: Readings | None
    grounds: tuple[tuple[Doubtful, tuple[str, ...]], ...]


def answers_of(index: Index, end: End, pairs: Iterable[Pair]) -> list[Answered]:
    """Press target of an end on each press and gauge; what hangs on neither is judged once."""
    bare = end_setup(index, end)
    base = raised_by(BASE_RULES, bare.subjects())
    found = []
    for press, gauge in pairs:
        if press in index.presses and gauge in index.gauges:
            setup = with_pair(bare, index.presses[press], index.gauges[gauge])
            raised = (*base, *_of_pair(index.presses[press], index.gauges[gauge], setup.pressing))
        else:
            setup = end_setup(index, end, press, gauge)
            raised = tuple(raised_by(RULES, setup.subjects()))
        found.append(_answered(index, setup, raised))
    return found


def refusals_of(index: Index, end: End, pairs: Iterable[Pair]) -> list[object]:
    """All that each refused answer to an end is compared by, None where it may be allowed.

    INVARIANT: while nothing is withdrawn, codes, tooling and warnings of such an answer follow from
    it, and no number of a refused answer is compared.
    """
    bare = end_setup(index, end)
    base, base_refuses = _said(raised_by(BASE_RULES, bare.subjects()))
    formulas = () if bare.target is None else forces(bare.target).sources
    rows = [(row.ref, row.sources) for row in rows_of_setup(bare)]
    of_end = base, formulas, rows, bool(assumptions_of(bare))
    found: list[object] = []
    for of_press, of_gauge in pairs:
        press, gauge = index.presses.get(of_press), index.gauges.get(of_gauge)
        if press is None or gauge is None:
            found.append(None)
            continue
        numbers = None
        if bare.target is not None:
            numbers = pressing(bare.target, press, gauge, bare.cone, bare.plate)
        said, refuses, sources = _said_of_pair(press, gauge, numbers)
        of_pair = said, sources, press.sources, gauge.sources
        found.append((of_end, of_pair) if base_refuses or refuses else None)
    return found


def _said(raised: Iterable[Raised]) -> tuple[tuple[object, ...], bool]:
    """What decides which findings are told, and whether one of them refuses, or leaves it open."""
    said = tuple((each.code, each.at, not each.message, not each.with_dial) for each in raised)
    refuses = any(
        not silent and CODES[code].severity in {"reject", "unknown"} for code, _, silent, _ in said
    )
    return said, refuses


@lru_cache(maxsize=8192)
def _of_pair(press: Press, gauge: Gauge, numbers: Pressing | None) -> tuple[Raised, ...]:
    """What is found of a pair on a target; many ends have the same."""
    return tuple(raised_by(PAIR_RULES, pair_subjects(_UNITS, press, gauge, numbers)))


@lru_cache(maxsize=8192)
def _said_of_pair(
    press: Press, gauge: Gauge, numbers: Pressing | None
) -> tuple[tuple[object, ...], bool, tuple[str, ...]]:
    sources = () if numbers is None else numbers.sources
    return *_said(_of_pair(press, gauge, numbers)), sources


def forget() -> None:
    """Let go of all that is remembered by row."""
    _of_pair.cache_clear()
    _said_of_pair.cache_clear()


def _answered(index: Index, setup: Setup, raised: Iterable[Raised]) -> Answered:
    found = judged(index, setup, (), raised, detail="brief")
    bare = Outcome(
        verdict=found.verdict,
        codes=tuple(dict.fromkeys(f.code for f in found.findings)),
        cone=None if setup.cone is None else setup.cone.id,
        plate=None if setup.plate is None else setup.plate.id,
    )
    # A refused answer is compared by why it is refused: nobody may press by its numbers.
    target = found.target if bare.allowed else None
    on = setup.gauge
    return Answered(
        outcome=_told(bare, target),
        readings=None if target is None or on is None else readings_of(target, on),
        grounds=tuple(
            (_DOUBTFUL[each.code], tuple(row.ref for row in each.rows)) for each in found.doubtful
        ),
    )


def end_setup(
    index: Index, end: End, press: str | UnsetType = UNSET, gauge: str | UnsetType = UNSET
) -> Setup:
    """Setup that the press target of an end is judged on."""
    question = PressTargetQuestion(tube=_tube(end), fitting=_fitting(end), press=press, gauge=gauge)
    return press_target_setup(index, question)


def rated_at(index: Index, end: End, temp_c: float) -> Rated:
    """Limits of the assembly of an end at a temperature."""
    item = PickItem(
        tube=_tube(end),
        fitting=_fitting(end),
        service=ServiceFacts(
            # The limits do not depend on it: it is stated because a rating asks for it.
            working_pressure=Pressure(1, "bar"),
            temperature=Temperature(temp_c, "degC"),
            pulsating=True,
        ),
    )
    rating = pick_setup(index, item, AnswerUnits()).rating
    if rating is None:
        return Rated(static_bar=None, static_governing=None, pulsating_bar=None, limits=())
    told = tuple((_LIMITS[how, of], of, mpa / FACTOR["bar"]) for of, mpa, how in rating.limits)
    static = [(bar, of) for name, of, bar in told if name != "tube-pulsating"]
    pulsating = [bar for name, _, bar in told if name == "tube-pulsating"]
    # One limit that is not known leaves the whole not known: the lowest of the rest would flatter.
    asked = (rating.quality, rating.static_mpa, rating.yield_limit_mpa, rating.fitting_mpa)
    whole = None not in asked
    lowest = min(static) if whole and static else None
    return Rated(
        static_bar=None if lowest is None else lowest[0],
        static_governing=None if lowest is None else lowest[1],
        pulsating_bar=None if lowest is None or not pulsating else min(lowest[0], *pulsating),
        limits=tuple(RatedLimit(of=name, bar=bar) for name, _, bar in told),
    )


def _tube(end: End) -> TubeFacts:
    return TubeFacts(
        od=Length(end.od_mm, "mm"),
        wall=Length(end.wall_mm, "mm"),
        material=end.material,
        insert=end.insert,
    )


def _fitting(end: End) -> FittingFacts:
    return FittingFacts(
        series=end.series,
        ring_style=end.ring_style,
        ring_material=end.ring_material,
        ring=end.ring,
    )


def _told(bare: Outcome, target: PressTarget | None) -> Outcome:
    if target is None:
        return bare
    return structs.replace(
        bare,
        finish=target.finish,
        force_kn=target.force.value,
        force_low_kn=target.force_band.low.value,
        force_high_kn=target.force_band.high.value,
        ceiling_kn=None if target.ceiling is UNSET else target.ceiling.value,
        marks=None if target.dial is UNSET else target.dial.marks,
    )


def readings_of(target: PressTarget, gauge: Gauge) -> Readings:
    """Readings of a target on a gauge."""

    def mpa(reading: Quantity | UnsetType) -> float | None:
        return None if reading is UNSET else reading.value * FACTOR[gauge.unit]

    mark = UNSET if target.dial is UNSET else target.dial.stop_at
    window = target.expected_band if target.dial is UNSET else target.dial
    return Readings(
        unit=gauge.unit,
        graduation=gauge.graduation,
        mark=mpa(mark),
        reading=mpa(target.expected_reading if mark is UNSET else mark),
        low=None if window is UNSET else mpa(window.low),
        high=None if window is UNSET else mpa(window.high),
        never_exceed=mpa(target.never_exceed),
    )
