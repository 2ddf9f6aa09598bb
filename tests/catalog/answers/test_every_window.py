"""Every shipped target on every press with every gauge, recalculated in fractions beside the code.

What counts at the bench: with the pointer on the mark to stop at, and every error the worst that
class, half a graduation and press allow, the force is still inside the band of the target.
"""

from fractions import Fraction
from typing import NamedTuple

import msgspec
import pytest
from msgspec import UNSET

from catalog.answers.press_target import press_target
from catalog.answers.shapes import PressTargetAnswer
from catalog.questions import PressTargetQuestion
from catalog.rows import Cone, Gauge, Plate, Press, Target
from tests.catalog.synthetic import shipped_with

BAR = {"bar": Fraction(1), "psi": Fraction(8896443230521, 1290320000) / 100_000}
PASCAL = Fraction(1, 100_000)


def exact(value: float) -> Fraction:
    return Fraction(str(value))


def tools(target: Target) -> list[Cone | Plate]:
    """Cone and plate of a target's size."""
    index = shipped_with()
    system = index.series[target.series].system
    return [
        *(c for c in index.cones.values() if (c.series, c.od_mm) == (target.series, target.od_mm)),
        *(p for p in index.plates.values() if (p.system, p.od_mm) == (system, target.od_mm)),
    ]


class Window(NamedTuple):
    """Exact numbers of one target on one press and gauge [bar]."""

    nominal: Fraction
    low: Fraction
    high: Fraction
    never_exceed: Fraction
    marks: tuple[Fraction, ...]
    most: Fraction
    relief: Fraction
    step: Fraction

    @property
    def stop(self) -> Fraction:
        """Mark to stop at: the highest at or below nominal, else the lowest."""
        below = [mark for mark in self.marks if mark <= self.nominal]
        return max(below) if below else min(self.marks)


def window(target: Target, press: Press, gauge: Gauge) -> Window:
    unit = BAR[gauge.unit]
    force, share = exact(target.force_kn), exact(target.tolerance_percent) / 100
    area, back = exact(press.ram_area_cm2), exact(press.return_force_kn)

    def reading(kn: Fraction) -> Fraction:
        return (kn + back) * 100 / area

    own = (exact(press.friction_percent) / 100 * force + exact(press.return_force_tolerance_kn)) * (
        100 / area
    )
    guard = (
        exact(gauge.class_percent) / 100 * exact(gauge.span) + exact(gauge.graduation) / 2
    ) * unit + own
    ends = exact(gauge.span)
    if gauge.protected_to is not None and gauge.protected_tolerance is not None:
        ends = min(ends, exact(gauge.protected_to) - exact(gauge.protected_tolerance))
    limits = [
        reading(exact(target.ceiling_kn)) - guard,
        exact(press.rated_pressure_bar) - guard,
        ends * unit,
    ]
    limits += [reading(exact(tool.rated_force_kn)) - guard for tool in tools(target)]
    never_exceed = min(limits)
    relief = exact(press.relief_setting_bar)
    low = reading(force * (1 - share)) + guard
    high = reading(force * (1 + share)) - guard
    step = exact(gauge.graduation) * unit
    top = min(high, never_exceed, relief)
    marks = tuple(step * n for n in range(1, int(top / step) + 1) if low <= step * n)
    most = reading(force * (1 + share))
    return Window(
        reading(force), low, top, never_exceed, marks if low < high else (), most, relief, step
    )


def question(target: Target, press: Press, gauge: Gauge) -> PressTargetQuestion | None:
    index = shipped_with()
    for row in index.tubes.values():
        for grade in index.materials.values():
            if (
                grade.preset
                and grade.family == target.family
                and grade.standard == row.standard
                and abs(row.od_mm - target.od_mm) < 1e-4
                and target.wall_min_mm <= row.wall_mm <= target.wall_max_mm
            ):
                return asked_of(target, press, gauge, grade.id, row.wall_mm)
    return None


def asked_of(
    target: Target, press: Press, gauge: Gauge, grade: str, wall_mm: float
) -> PressTargetQuestion:
    return msgspec.convert(
        {
            "tube": {
                "od": {"value": target.od_mm, "unit": "mm"},
                "wall": {"value": wall_mm, "unit": "mm"},
                "material": grade,
                "insert": target.insert,
            },
            "fitting": {
                "series": target.series,
                "ring_style": target.ring_style,
                "ring_material": target.family,
            },
            "press": press.id,
            "gauge": gauge.id,
        },
        PressTargetQuestion,
    )


TARGETS = [target for band in shipped_with().targets.values() for target in band]
PAIRS = shipped_with().pairs


def codes(answer: PressTargetAnswer, severity: str) -> set[str]:
    return {f.code for f in answer.findings if f.severity == severity}


def _can_finish(target: Target, by_hand: Window) -> bool:
    """Whether a mark can be stopped at or contact be reached, before the relief valve opens."""
    if target.finish == "at-contact":
        return by_hand.never_exceed >= by_hand.nominal and by_hand.relief >= by_hand.most
    return bool(by_hand.marks) and by_hand.relief >= by_hand.stop + by_hand.step


def _survives(press: Press, gauge: Gauge) -> bool:
    """Whether the gauge outlives a missed stop: a protector, or an overload above the relief."""
    span = exact(gauge.span) * BAR[gauge.unit]
    share = Fraction(5, 4) if span <= 100 else Fraction(23, 20) if span <= 600 else Fraction(11, 10)
    return gauge.protected_to is not None or exact(press.relief_setting_bar) <= share * span


def faults(target: Target, press: Press, gauge: Gauge, asked: PressTargetQuestion) -> list[str]:
    answer, by_hand = press_target(shipped_with(), asked), window(target, press, gauge)
    where = f"{target.ref} {press.id} {gauge.id}"
    rejected = codes(answer, "reject")
    reach = [exact(press.rated_pressure_bar)]
    if gauge.protected_to is None:
        reach.append(exact(gauge.span) * BAR[gauge.unit])
    possible = by_hand.nominal <= min(reach) and _can_finish(target, by_hand)
    possible = possible and _survives(press, gauge)
    if bool(rejected) == possible:
        return [f"{where}: possible {possible}, rejected by {sorted(rejected)}"]
    if answer.verdict not in {"allowed", "allowed-with-cautions"}:
        bare = answer.target is UNSET or (
            answer.target.dial is UNSET and answer.target.never_exceed is UNSET
        )
        return [] if bare else [f"{where}: {answer.verdict}, and told all the same"]
    assert answer.target is not UNSET
    told, unit = answer.target, BAR[gauge.unit]
    assert told.never_exceed is not UNSET
    wrong = []
    if abs(exact(told.never_exceed.value) * unit - by_hand.never_exceed) > PASCAL:
        wrong.append(f"{where}: never exceed {told.never_exceed}")
    if told.dial is not UNSET:
        stop = exact(told.dial.stop_at.value) * unit
        if stop != by_hand.stop or told.dial.marks != len(by_hand.marks):
            wrong.append(f"{where}: stop at {told.dial.stop_at} of {told.dial.marks}")
        ends = (exact(told.dial.low.value) * unit, exact(told.dial.high.value) * unit)
        right = (by_hand.low, by_hand.high)
        if any(abs(end - hand) > PASCAL for end, hand in zip(ends, right, strict=True)):
            wrong.append(f"{where}: window {told.dial}")
    return wrong


def test_every_target_has_a_tube_that_it_is_for() -> None:
    press, gauge = PAIRS[0]
    without = [t.ref for t in TARGETS if question(t, press, gauge) is None]
    assert without == []
    assert len(TARGETS) == 336


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: f"{pair[0].id} {pair[1].id}")
def test_every_window_is_the_one_worked_in_fractions(pair: tuple[Press, Gauge]) -> None:
    press, gauge = pair
    wrong: list[str] = []
    for target in TARGETS:
        asked = question(target, press, gauge)
        assert asked is not None
        wrong += faults(target, press, gauge, asked)
    assert wrong == []


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: f"{pair[0].id} {pair[1].id}")
def test_at_the_mark_the_worst_force_is_inside_the_band(pair: tuple[Press, Gauge]) -> None:
    press, gauge = pair
    unit, area = BAR[gauge.unit], exact(press.ram_area_cm2)
    for target in TARGETS:
        asked = question(target, press, gauge)
        assert asked is not None
        told = press_target(shipped_with(), asked).target
        if told is UNSET or told.dial is UNSET:
            continue
        force, share = exact(target.force_kn), exact(target.tolerance_percent) / 100
        error = exact(gauge.class_percent) / 100 * exact(gauge.span) + exact(gauge.graduation) / 2
        friction = exact(press.friction_percent) / 100 * force
        for sign in (-1, 1):
            true_bar = (exact(told.dial.stop_at.value) + sign * error) * unit
            worst = true_bar * area / 100 - exact(press.return_force_kn) + sign * friction
            assert force * (1 - share) <= worst <= force * (1 + share), target.ref
