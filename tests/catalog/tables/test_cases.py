"""The shipped cases: their numbers follow from the rows by plain arithmetic in whole fractions."""

from fractions import Fraction

import pytest

from catalog.findings import CODES
from catalog.quantities import size_key
from catalog.rows import Case, Gauge, Material, Press, Target
from tests.catalog.tables.shipped import rows

PRESSES = {p.id: p for p in rows(Press)}
GAUGES = {g.id: g for g in rows(Gauge)}
FAMILIES = {m.id: m.family for m in rows(Material)}
BAR_PER = {"bar": Fraction(1), "psi": Fraction(8896443230521, 1290320000) / 100_000}
WITH_DIAL = [case for case in rows(Case) if case.never_exceed is not None]


def exact(value: float) -> Fraction:
    return Fraction(str(value))


def target_of(case: Case) -> Target:
    per_mm = exact(25.4) if case.size_unit == "in" else Fraction(1)
    od, wall = size_key(float(case.od * per_mm)), size_key(float(case.wall * per_mm))
    own = [t for t in rows(Target) if (t.series, t.grade) == (case.series, case.material)]
    (row,) = [
        t
        for t in own or rows(Target)
        if t.grade == (case.material if own else None)
        and (t.series, t.family, t.ring_style) == (case.series, case.ring_material, case.ring_style)
        and t.insert == (case.insert or "none")
        and size_key(t.od_mm) == od
        and size_key(t.wall_min_mm) <= wall <= size_key(t.wall_max_mm)
    ]
    return row


def guard(target: Target, press: Press, gauge: Gauge) -> Fraction:
    """Class of the span, half a graduation and the press's own share, on the dial."""
    unit = BAR_PER[gauge.unit]
    friction_kn = exact(target.force_kn) * exact(press.friction_percent) / 100
    own = friction_kn / exact(press.ram_area_cm2) * 100 / unit
    return exact(gauge.class_percent) / 100 * exact(gauge.span) + exact(gauge.graduation) / 2 + own


def dial_end(gauge: Gauge) -> Fraction:
    """Last reading that the pointer is sure to reach: its protector may shut it off before."""
    if gauge.protected_to is None:
        return exact(gauge.span)
    return min(exact(gauge.span), exact(gauge.protected_to) - exact(gauge.protected_tolerance or 0))


def reading(force_kn: Fraction, press: Press, gauge: Gauge) -> Fraction:
    """Reading on the dial: 1 kN on 1 cm2 is 100 bar."""
    whole_kn = force_kn + exact(press.return_force_kn)
    return whole_kn / exact(press.ram_area_cm2) * 100 / BAR_PER[gauge.unit]


@pytest.mark.parametrize("case", WITH_DIAL, ids=lambda case: case.id)
def test_numbers_of_a_case_follow_from_its_rows(case: Case) -> None:
    assert case.press is not None
    assert case.gauge is not None
    target, press, gauge = target_of(case), PRESSES[case.press], GAUGES[case.gauge]
    assert case.force_kn == target.force_kn
    off = guard(target, press, gauge)
    force_kn, share = exact(target.force_kn), exact(target.tolerance_percent) / 100
    limit = min(
        reading(exact(target.ceiling_kn), press, gauge) - off,
        exact(press.rated_pressure_bar) / BAR_PER[gauge.unit],
        dial_end(gauge),
    )
    assert case.never_exceed == pytest.approx(float(limit), abs=case.within)
    if target.finish == "at-contact":
        assert (case.dial_low, case.dial_high, case.stop_at) == (None, None, None)
        return
    low = reading(force_kn * (1 - share), press, gauge) + off
    high = reading(force_kn * (1 + share), press, gauge) - off
    assert case.dial_low == pytest.approx(float(low), abs=case.within)
    relief = exact(press.relief_setting_bar) / BAR_PER[gauge.unit]
    step, top = exact(gauge.graduation), min(high, limit, relief)
    if case.dial_high is not None:
        assert case.dial_high == pytest.approx(float(top), abs=case.within)
    marks = [step * n for n in range(1, int(top / step) + 1) if step * n >= low]
    below = [mark for mark in marks if mark <= reading(force_kn, press, gauge)]
    assert case.stop_at == float(max(below) if below else min(marks))


# Worked by hand beside the demonstration world: window to the first decimal, stop, limit.
@pytest.mark.parametrize(
    ("case_id", "low", "high", "stop_at", "never_exceed"),
    [
        ("16s-press-b-gauge-b", 138, 147, 140, 170),
        ("16s-press-a-gauge-a", 333.5, 366.5, 350, 424),
        ("16s-press-c-gauge-c", 58.2, 61.8, 60, None),
        ("16s-press-b-gauge-psi", 1992, 2141, 2050, None),
    ],
)
def test_the_worked_windows(
    case_id: str, low: float, high: float, stop_at: float, never_exceed: float | None
) -> None:
    (case,) = [c for c in rows(Case) if c.id == case_id]
    assert case.dial_low is not None
    assert case.dial_high is not None
    half = 0.5 if case.gauge == "gauge-psi" else 0.05
    assert abs(case.dial_low - low) <= half
    assert abs(case.dial_high - high) <= half
    assert case.stop_at == stop_at
    if never_exceed is not None:
        assert case.never_exceed == never_exceed


def test_the_window_that_is_a_point() -> None:
    # Band 131.5 to 153.5 bar, guard 11 bar: 142.5 to 142.5 bar.
    (case,) = [c for c in rows(Case) if c.id == "16s-press-b-gauge-a"]
    target, press, gauge = target_of(case), PRESSES["press-b"], GAUGES["gauge-a"]
    off = guard(target, press, gauge)
    assert reading(exact(25.3), press, gauge) + off == reading(exact(29.7), press, gauge) - off
    assert (case.verdict, case.codes) == ("rejected", ("gauge.too-coarse",))


@pytest.mark.parametrize("case", rows(Case), ids=lambda case: case.id)
def test_a_case_is_of_one_piece(case: Case) -> None:
    assert set(case.codes) <= set(CODES)
    severities = {CODES[code].severity for code in case.codes}
    if case.verdict == "rejected":
        assert "reject" in severities
    elif case.verdict == "undetermined":
        assert severities == {"unknown"}
    else:
        assert severities <= {"caution", "note"}
        assert case.force_kn == target_of(case).force_kn
        assert FAMILIES[case.material] == case.ring_material
    assert "=" in case.arithmetic or case.never_exceed is None


def test_the_shipped_cases_expect_no_bare_allowed() -> None:
    # Everything here rests on demonstration rows, which is worth a caution in every answer.
    assert {c.verdict for c in rows(Case)} == {"allowed-with-cautions", "undetermined", "rejected"}
