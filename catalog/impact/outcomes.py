"""What a revision answers to one question, boiled down to what can be compared."""

from msgspec import UNSET

from catalog.answers.judging import judged
from catalog.answers.shapes import PressTarget
from catalog.impact.shapes import End, Outcome, Rated
from catalog.index import Index
from catalog.quantities import FACTOR, Length, Pressure, Temperature
from catalog.questions import (
    AnswerUnits,
    FittingFacts,
    PickItem,
    PressTargetQuestion,
    ServiceFacts,
    TubeFacts,
)
from catalog.rules import RULES
from catalog.setup.resolving import pick_setup, press_target_setup
from catalog.terms import PressureUnit


def outcome_of(index: Index, end: End, press: str, gauge: str) -> Outcome:
    """Press target of an end on a press and gauge."""
    question = PressTargetQuestion(tube=_tube(end), fitting=_fitting(end), press=press, gauge=gauge)
    found = judged(index, press_target_setup(index, question), RULES)
    codes = tuple(dict.fromkeys(f.code for f in found.findings))
    if found.target is None:
        return Outcome(verdict=found.verdict, codes=codes)
    dial = index.gauges.get(gauge)
    return _told(
        Outcome(verdict=found.verdict, codes=codes),
        found.target,
        None if dial is None else dial.unit,
    )


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
    limits = () if rating is None else rating.limits
    static = [(mpa, of) for of, mpa, how in limits if how != "din-2413-pulsating"]
    pulsating = [mpa for _, mpa, how in limits if how == "din-2413-pulsating"]
    # One limit that is not known leaves the whole not known: the lowest of the rest would flatter.
    whole = rating is not None and None not in (
        rating.static_mpa,
        rating.yield_limit_mpa,
        rating.fitting_mpa,
    )
    lowest = min(static) if whole and static else None
    bar = FACTOR["bar"]
    return Rated(
        static_bar=None if lowest is None else lowest[0] / bar,
        static_governing=None if lowest is None else lowest[1],
        pulsating_bar=None if lowest is None or not pulsating else min(lowest[0], *pulsating) / bar,
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
        series=end.series, ring_style=end.ring_style, ring_material=end.ring_material
    )


def _told(bare: Outcome, target: PressTarget, unit: PressureUnit | None) -> Outcome:
    dial = None if target.dial is UNSET else target.dial
    expected = None if target.expected_reading is UNSET else target.expected_reading.value
    limit = None if target.never_exceed is UNSET else target.never_exceed.value
    return Outcome(
        verdict=bare.verdict,
        codes=bare.codes,
        finish=target.finish,
        force_kn=target.force.value,
        force_low_kn=target.force_band.low.value,
        force_high_kn=target.force_band.high.value,
        ceiling_kn=target.ceiling.value,
        reading=expected if dial is None else dial.stop_at.value,
        low=None if dial is None else dial.low.value,
        high=None if dial is None else dial.high.value,
        marks=None if dial is None else dial.marks,
        never_exceed=limit,
        unit=unit,
    )
