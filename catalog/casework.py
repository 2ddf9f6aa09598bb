"""A revision's own cases: answers known from arithmetic done by hand, which it must reproduce."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.answers.press_target import press_target
from catalog.answers.shapes import PressTargetAnswer
from catalog.index import Index
from catalog.quantities import Length, Quantity
from catalog.questions import FittingFacts, PressTargetQuestion, TubeFacts
from catalog.rows import Case


def case_faults(index: Index) -> list[str]:
    """What the cases of a revision get wrong on its own index; empty where all are right."""
    return [fault for case in index.cases for fault in _faults(index, case)]


def question_of(case: Case) -> PressTargetQuestion:
    """Question that a case asks."""
    return PressTargetQuestion(
        tube=TubeFacts(
            od=Length(case.od, case.size_unit),
            wall=Length(case.wall, case.size_unit),
            material=case.material,
            insert=UNSET if case.insert is None else case.insert,
        ),
        fitting=FittingFacts(
            series=case.series, ring_style=case.ring_style, ring_material=case.ring_material
        ),
        press=UNSET if case.press is None else case.press,
        gauge=UNSET if case.gauge is None else case.gauge,
    )


def _faults(index: Index, case: Case) -> Iterator[str]:
    answer = press_target(index, question_of(case))
    if answer.verdict != case.verdict:
        yield f"{case.ref}: verdict {answer.verdict}, by hand {case.verdict}"
    found = {finding.code for finding in answer.findings}
    for code in case.codes:
        if code not in found:
            yield f"{case.ref}: no finding {code}"
    for name, by_hand, told in _numbers(case, answer):
        if by_hand is None:
            continue
        if told is None:
            yield f"{case.ref}: no {name}, by hand {by_hand:g}"
        elif abs(told.value - by_hand) > case.within:
            yield f"{case.ref}: {name} {told.value:g} {told.unit}, by hand {by_hand:g}"


def _numbers(
    case: Case, answer: PressTargetAnswer
) -> Iterator[tuple[str, float | None, Quantity | None]]:
    target = None if answer.target is UNSET else answer.target
    dial = None if target is None or target.dial is UNSET else target.dial
    limit = None if target is None or target.never_exceed is UNSET else target.never_exceed
    yield "force_kn", case.force_kn, None if target is None else target.force
    yield "dial_low", case.dial_low, None if dial is None else dial.low
    yield "dial_high", case.dial_high, None if dial is None else dial.high
    yield "stop_at", case.stop_at, None if dial is None else dial.stop_at
    yield "never_exceed", case.never_exceed, limit
