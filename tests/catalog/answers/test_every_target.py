"""Every shipped target on every press with every gauge, worked in exact fractions from the rows.

Which row binds is found here by reading the table from end to end, and its numbers are those of
`tests.catalog.pairs.exact`: nothing of the catalog's own look-ups or formulas is used. What counts
at the bench: with the pointer on the mark to stop at, and every error the worst that class, half a
graduation and press allow, the force is still inside the band of the target.
"""

from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Any

import msgspec
import pytest
from msgspec import UNSET

from catalog.answers.press_target import press_target
from catalog.answers.shapes import PressTargetAnswer
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.quantities import size_key
from catalog.questions import PressTargetQuestion
from catalog.revision import revision_of, rows_of
from catalog.rows import Cone, Gauge, Insert, Material, Plate, Press, Ring, Series, Target, Tube
from catalog.seed import shipped_revision
from catalog.terms import InsertState
from tests.catalog.pairs.exact import PASCALS, Numbers, can_finish, exact, forces_of, numbers_of
from tests.catalog.synthetic import shipped_with

SHIPPED = shipped_revision()
TARGETS = rows_of(SHIPPED, Target)
MATERIALS = {row.id: row for row in rows_of(SHIPPED, Material)}
RINGS = rows_of(SHIPPED, Ring)
SYSTEMS = {row.id: row.system for row in rows_of(SHIPPED, Series)}
GAUGES = {row.id: row for row in rows_of(SHIPPED, Gauge)}
PAIRS = [(press, GAUGES[gauge]) for press in rows_of(SHIPPED, Press) for gauge in press.gauges]
End = tuple[Material, Tube, Ring]
PRESSED = {"allowed", "allowed-with-cautions"}
# Of a pascal in a hundred bar: what is told is a binary number.
NEAR = Fraction(1)


def same(one_mm: float, other_mm: float) -> bool:
    return size_key(one_mm) == size_key(other_mm)


def in_band(target: Target, wall_mm: float) -> bool:
    return size_key(target.wall_min_mm) <= size_key(wall_mm) <= size_key(target.wall_max_mm)


@cache
def insert_of(material: Material, tube: Tube) -> InsertState | None:
    """What the table of inserts asks of a wall, None where it says nothing or no insert helps."""
    for row in rows_of(SHIPPED, Insert):
        if row.family == material.family and same(row.od_mm, tube.od_mm):
            if size_key(tube.wall_mm) < size_key(row.useless_below_mm):
                return None
            return "fitted" if size_key(tube.wall_mm) < size_key(row.needed_below_mm) else "none"
    return None


@cache
def tubes_of(material: Material) -> tuple[Tube, ...]:
    return tuple(t for t in rows_of(SHIPPED, Tube) if t.standard == material.standard)


def sets_of(series: str, style: str, family: str, od_mm: float) -> list[Ring]:
    return [
        ring
        for ring in RINGS
        if (ring.series, ring.ring_style, ring.material) == (series, style, family)
        and (ring.od_mm is None or same(ring.od_mm, od_mm))
    ]


@cache
def of_series_and_style(series: str, style: str, family: str) -> list[Target]:
    return [t for t in TARGETS if (t.series, t.ring_style, t.family) == (series, style, family)]


def binding(material: Material, tube: Tube, ring: Ring) -> list[Target]:
    """Rows that say how hard this ring is pressed on this tube: one, or none."""
    of_style = of_series_and_style(ring.series, ring.ring_style, material.family)
    # A grade with a row of its own anywhere in the series and style takes none of its family.
    own = any(t.grade == material.id for t in of_style)
    return [
        t
        for t in of_style
        if t.grade == (material.id if own else None)
        and t.ring in {None, ring.id}
        and same(t.od_mm, tube.od_mm)
        and in_band(t, tube.wall_mm)
        and t.insert == insert_of(material, tube)
    ]


@cache
def ends() -> tuple[End, ...]:
    """Every grade that is preset, every tube of it, every ring set of its metal for that od."""
    return tuple(
        (material, tube, ring)
        for material in MATERIALS.values()
        if material.preset
        for tube in tubes_of(material)
        for series in SYSTEMS
        for style in ("metal", "elastomer-sealed")
        for ring in sets_of(series, style, material.family, tube.od_mm)
        if insert_of(material, tube) is not None
    )


def question(
    material: Material,
    tube: Tube,
    ring: Ring,
    pair: tuple[Press, Gauge] | None = None,
    *,
    named: bool = True,
) -> PressTargetQuestion:
    asked: dict[str, Any] = {
        "tube": {
            "od": {"value": tube.od_mm, "unit": "mm"},
            "wall": {"value": tube.wall_mm, "unit": "mm"},
            "material": material.id,
            "insert": insert_of(material, tube),
        },
        "fitting": {
            "series": ring.series,
            "ring_style": ring.ring_style,
            "ring_material": ring.material,
        },
    }
    if named:
        asked["fitting"]["ring"] = ring.id
    if pair is not None:
        asked |= {"press": pair[0].id, "gauge": pair[1].id}
        # The zero of a dial with a stop pin is not seen.
        asked["tool_state"] = {"gauge_zero_checked": True}
    return msgspec.convert(asked, PressTargetQuestion)


def force_told(index: Index, asked: PressTargetQuestion) -> float | None:
    target = press_target(index, asked).target
    return None if target is UNSET else target.force.value


def codes(answer: PressTargetAnswer) -> set[str]:
    return {finding.code for finding in answer.findings}


def test_every_end_takes_the_row_that_binds() -> None:
    wrong, reached = [], set()
    for material, tube, ring in ends():
        rows = binding(material, tube, ring)
        answer = press_target(shipped_with(), question(material, tube, ring))
        where = f"{material.id} {tube.ref} {ring.id}"
        if not rows:
            if answer.target is not UNSET or not codes(answer) & {
                "target.no-row",
                "fitting.no-such-size",
                "fitting.size-not-listed",
            }:
                wrong.append(f"{where}: {answer.verdict} without a row")
            continue
        (row,) = rows
        reached.add(row.ref)
        if answer.target is UNSET:
            wrong.append(f"{where}: {sorted(codes(answer))}")
            continue
        band = answer.target.force_band
        told = {
            "force": answer.target.force,
            "least force": band.low,
            "greatest force": band.high,
            "ceiling": answer.target.ceiling,
        }
        for name, newtons in forces_of(row).items():
            shown = told[name]
            if shown is UNSET or exact(shown.value) != newtons / 1000:
                wrong.append(f"{where}: {name} {shown}, not {float(newtons)} N")
        held = answer.target.conditions
        if held is UNSET or (held.ring, held.insert, held.lubricate) != (
            ring.id,
            row.insert,
            (*ring.lubricate, *(("thread",) if ring.oil_thread else ())),
        ):
            wrong.append(f"{where}: found under {held}")
        elif held.hold is UNSET or (held.hold.value, held.hold.unit) != (ring.hold_s, "s"):
            wrong.append(f"{where}: held for {held.hold}")
        if answer.target.finish != row.finish or answer.target.insert != row.insert:
            wrong.append(f"{where}: {answer.target.finish}, {answer.target.insert}")
    assert wrong == []
    assert reached == {t.ref for t in TARGETS}
    assert len(reached) == 423


def test_the_stronger_carbon_steel_never_takes_a_row_of_its_family_in_l_and_s() -> None:
    own = {"e355-n"}
    in_l_and_s = [(m, t, r) for m, t, r in ends() if m.id in own and r.series in {"L", "S"}]
    of_family = {(t.series, t.od_mm, t.ring_style): t for t in TARGETS if t.grade is None}
    refused = 0
    for material, tube, ring in in_l_and_s:
        told = force_told(shipped_with(), question(material, tube, ring))
        rows = [
            t.force_kn
            for t in TARGETS
            if t.grade == "e355-n"
            and (t.series, t.ring_style) == (ring.series, ring.ring_style)
            and same(t.od_mm, tube.od_mm)
            and in_band(t, tube.wall_mm)
        ]
        assert told in {None, *rows}
        if told is None and (ring.series, tube.od_mm, ring.ring_style) in of_family:
            refused += 1
    # Such ends are there: below 10 mm, above 30, and of the second set of 18 L.
    assert refused > 0


def without_metal_rows() -> Index:
    kept = [t for t in TARGETS if (t.grade, t.series, t.ring_style) != ("e355-n", "S", "metal")]
    assert len(kept) == len(TARGETS) - 21
    return compile_revision(revision_of({**SHIPPED.tables, "targets": kept, "cases": []}))


def test_rows_of_a_grade_bind_in_their_own_ring_style_alone() -> None:
    index = without_metal_rows()
    for material, tube, ring in ends():
        if material.id != "e355-n" or (ring.series, tube.od_mm, tube.wall_mm) != ("S", 16, 2):
            continue
        asked = question(material, tube, ring)
        # 27.5 kN is the row of the family, 37.3 kN that of the grade with the other ring.
        metal = ring.ring_style == "metal"
        assert force_told(index, asked) == (27.5 if metal else 37.3)
        assert force_told(shipped_with(), asked) == (34.2 if metal else 37.3)


def test_with_two_ring_sets_and_none_named_there_is_no_target() -> None:
    open_sizes = set()
    for material, tube, ring in ends():
        sets = sets_of(ring.series, ring.ring_style, ring.material, tube.od_mm)
        asked = question(material, tube, ring, PAIRS[0], named=False)
        answer = press_target(shipped_with(), asked)
        if len(sets) == 1:
            assert "fitting.ring-missing" not in codes(answer), ring.id
            continue
        open_sizes.add((ring.series, tube.od_mm, ring.ring_style, ring.material))
        assert answer.target is UNSET
        assert answer.verdict not in PRESSED
        (missing,) = (f for f in answer.findings if f.code == "fitting.ring-missing")
        assert all(f"`{each.id}`" in missing.message for each in sets)
    assert open_sizes == {
        ("L", 18, "metal", "carbon-steel"),
        ("flareless", 9.525, "metal", "carbon-steel"),
        ("L", 10, "elastomer-sealed", "stainless-steel"),
    }


def test_neither_of_two_sets_finished_at_pressure_has_a_mark_in_the_other_s_window() -> None:
    compared = 0
    for one in TARGETS:
        for other in TARGETS:
            if other.ring == "ring-L-18-metal-carbon-steel-b" and one.ring == (
                "ring-L-metal-carbon-steel"
            ):
                if one.wall_min_mm != other.wall_min_mm or one.grade != other.grade:
                    continue
                for press, gauge in PAIRS:
                    first, second = (numbers_of(t, press, gauge, None, None) for t in (one, other))
                    assert not set(first.marks) & set(second.marks)
                    compared += 1
    assert compared == 3 * len(PAIRS)


@cache
def ends_by_target() -> dict[Target, list[End]]:
    """Ends that each target is for."""
    found: dict[Target, list[End]] = {target: [] for target in TARGETS}
    for end in ends():
        for target in binding(*end):
            found[target].append(end)
    return found


def tools(target: Target, family: str) -> tuple[Cone, Plate]:
    """Cone that may touch most families, and plate, of a target's size."""
    cones = [
        cone
        for cone in rows_of(SHIPPED, Cone)
        if cone.series == target.series and same(cone.od_mm, target.od_mm)
    ]
    (plate,) = (
        plate
        for plate in rows_of(SHIPPED, Plate)
        if plate.system == SYSTEMS[target.series] and same(plate.od_mm, target.od_mm)
    )
    families = {m.family for m in MATERIALS.values() if m.preset}

    def touched(cone: Cone) -> int:
        return sum(cone.presses_between_checks(each) is not None for each in families)

    return max(cones, key=touched), plate


def wrong_numbers(answer: PressTargetAnswer, numbers: Numbers, gauge: Gauge) -> Iterator[str]:
    told, unit = answer.target, PASCALS[gauge.unit]
    assert told is not UNSET

    def compare(name: str, shown: Any, pascals: Fraction) -> Iterator[str]:
        if shown is UNSET or abs(exact(shown.value) * PASCALS[shown.unit] - pascals) > NEAR:
            yield f"{name} {shown}, not {float(pascals / unit)} {gauge.unit}"

    yield from compare("never exceed", told.never_exceed, numbers.never_exceed)
    if told.finish == "at-contact":
        assert told.dial is UNSET
        assert told.expected_band is not UNSET
        yield from compare("expected", told.expected_reading, numbers.nominal)
        yield from compare("expected low", told.expected_band.low, numbers.expected[0])
        yield from compare("expected high", told.expected_band.high, numbers.expected[1])
        return
    assert told.dial is not UNSET
    assert numbers.stop_at is not None
    yield from compare("window low", told.dial.low, numbers.window[0])
    yield from compare("window high", told.dial.high, numbers.window[1])
    yield from compare("stop at", told.dial.stop_at, numbers.stop_at)
    if told.dial.marks != len(numbers.marks):
        yield f"{told.dial.marks} marks, not {len(numbers.marks)}"


def outside(told: Any, target: Target, press: Press, gauge: Gauge) -> bool:
    """Whether the worst force at the mark is outside the band."""
    force, share = exact(target.force_kn) * 1000, exact(target.tolerance_percent) / 100
    area_m2 = exact(press.ram_area_cm2) / 10_000
    unit, back = PASCALS[gauge.unit], exact(press.return_force_kn) * 1000
    error = (
        exact(gauge.class_percent) / 100 * exact(gauge.span) + exact(gauge.graduation) / 2
    ) * unit
    own = exact(press.friction_percent) / 100 * force
    own += exact(press.return_force_tolerance_kn) * 1000
    at = exact(told.dial.stop_at.value) * unit
    worst = [(at + sign * error) * area_m2 - back + sign * own for sign in (-1, 1)]
    return worst[0] < force * (1 - share) or worst[1] > force * (1 + share)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda pair: f"{pair[0].id} {pair[1].id}")
def test_every_number_is_the_one_worked_in_fractions(pair: tuple[Press, Gauge]) -> None:
    press, gauge = pair
    wrong: list[str] = []
    allowed = 0
    for turn, target in enumerate(TARGETS):
        of_target = ends_by_target()[target]
        material, tube, ring = of_target[turn % len(of_target)]
        cone, plate = tools(target, material.family)
        numbers = numbers_of(target, press, gauge, cone, plate)
        # A stop pin keeps no press away where somebody has looked at the zero.
        seen = msgspec.structs.replace(gauge, stop_pin=False)
        possible = can_finish(target, press, seen, numbers)
        answer = press_target(shipped_with(), question(material, tube, ring, pair))
        where = f"{target.ref} {press.id} {gauge.id}"
        if (answer.verdict in PRESSED) != possible:
            wrong.append(f"{where}: possible {possible}, {answer.verdict} by {codes(answer)}")
        elif possible:
            allowed += 1
            wrong += [f"{where}: {each}" for each in wrong_numbers(answer, numbers, gauge)]
            told = answer.target
            if told is not UNSET and told.dial is not UNSET and outside(told, target, press, gauge):
                wrong.append(f"{where}: the worst force at the mark is outside the band")
        elif answer.target is not UNSET and not bare(answer):
            wrong.append(f"{where}: {answer.verdict}, and told all the same")
    assert wrong == []
    # press-b with gauge-d has a relief far above its span: a reject whatever is pressed.
    assert (allowed > 0) == ((press.id, gauge.id) != ("press-b", "gauge-d"))


def bare(answer: PressTargetAnswer) -> bool:
    """Whether nothing of a dial is told."""
    told = answer.target
    return told is UNSET or (
        told.dial is UNSET and told.expected_reading is UNSET and told.never_exceed is UNSET
    )
