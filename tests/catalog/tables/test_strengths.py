"""Grades and their strengths: as the sources say, never stronger hot than cold."""

from fractions import Fraction
from itertools import pairwise

import pytest

from catalog.rows import Derating, Material, Strength
from tests.catalog.tables.shipped import rows

MATERIALS = {m.id: m for m in rows(Material)}
PER_KSI = Fraction(8896443230521, 1290320000) / 1000
"""Megapascals in 1 ksi: 1 psi is 8896443230521/1290320000 Pa exactly."""


def strengths(material: str) -> list[Strength]:
    return [s for s in rows(Strength) if s.material == material]


@pytest.mark.parametrize("material", sorted(MATERIALS))
def test_the_coldest_row_equals_the_grade(material: str) -> None:
    grade, coldest = MATERIALS[material], strengths(material)[0]
    assert coldest.temp_c == 20
    assert (coldest.yield_mpa, coldest.tensile_mpa) == (grade.yield_mpa, grade.tensile_mpa)


@pytest.mark.parametrize("column", ["yield_mpa", "tensile_mpa", "allowable_mpa", "endurance_mpa"])
@pytest.mark.parametrize("material", sorted(MATERIALS))
def test_never_stronger_hot_than_cold(material: str, column: str) -> None:
    known = [v for s in strengths(material) if (v := getattr(s, column)) is not None]
    assert known == sorted(known, reverse=True)


@pytest.mark.parametrize(
    ("material", "yield_mpa", "tensile_mpa"),
    [
        ("e235-n", 235, 340),  # EN 10305-4, secondary
        ("e355-n", 355, 490),  # EN 10305-4, secondary
        ("en-1.4571", 190, 490),  # EN 10216-5 hot-finished, secondary, the lower of K2
        ("en-1.4404", 190, 490),  # EN 10216-5, memory
        ("tp316l-a269", 170, 485),  # ASTM A213 TP316L, secondary
        ("n04400-annealed", 195, 480),  # ASTM B165 Table 1, read
        ("n04400-stress-relieved", 380, 585),  # ASTM B165 Table 1, read
        ("copper-r220", None, 220),  # EN 1057, memory
    ],
)
def test_cold_minimum(material: str, yield_mpa: float | None, tensile_mpa: float) -> None:
    grade = MATERIALS[material]
    assert (grade.yield_mpa, grade.tensile_mpa) == (yield_mpa, tensile_mpa)


@pytest.mark.parametrize("material", ["j524", "j525"])
def test_inch_carbon_steel_is_25_and_45_ksi_rounded_down(material: str) -> None:
    grade = MATERIALS[material]
    assert (grade.yield_mpa, grade.tensile_mpa) == (25 * PER_KSI // 1, 45 * PER_KSI // 1)


def test_allowable_stress_is_rounded_down_from_ksi() -> None:
    # ASME B31.3 Table A-1, TP316L at 100, 200, 300, 400 degF, from memory: 16.7, 16.7, 16.7, 15.7.
    shipped = [(s.temp_c, s.allowable_mpa) for s in strengths("tp316l-a269")][1:]
    wanted_ksi = (Fraction("16.7"), Fraction("16.7"), Fraction("16.7"), Fraction("15.7"))
    assert [mpa for _, mpa in shipped] == [float(k * PER_KSI * 10 // 1 / 10) for k in wanted_ksi]
    temps_c = [(f - 32) / 1.8 for f in (200, 300, 400)]
    for (at_c, _), exact_c in zip(shipped[1:], temps_c, strict=True):
        assert 0 <= exact_c - at_c < 0.1


def test_allowable_stress_is_what_the_rule_of_its_code_gives() -> None:
    # ASME B31.3 302.3.2(d), below creep, austenitic (published-facts 5, secondary): the lowest of a
    # third of the tensile strength and two thirds of the yield. Single-grade 316L is 25 and 70 ksi
    # (read): 16.67 ksi, which Table A-1 prints as 16.7, half a digit of it above.
    by_rule_ksi = min(Fraction(70, 3), Fraction(2, 3) * 25)
    for row in strengths("tp316l-a269"):
        assert row.allowable_mpa is not None
        assert row.allowable_mpa <= (by_rule_ksi + Fraction(1, 20)) * PER_KSI
    cold = strengths("tp316l-a269")[0].allowable_mpa
    assert cold == pytest.approx(float(by_rule_ksi * PER_KSI), abs=float(PER_KSI / 20))


@pytest.mark.parametrize(
    ("material", "temp_c", "yield_mpa", "tensile_mpa"),
    [
        # 1.4571: the lower of K4, and 440 MPa at 100 degC as the demonstration world has it.
        ("en-1.4571", 50, 185, 490),
        ("en-1.4571", 100, 185, 440),
        ("en-1.4571", 200, 165, 390),
        # 1.4404: EN 10028-7 / EN 10216-5, memory.
        ("en-1.4404", 100, 166, 430),
        ("en-1.4404", 200, 137, 390),
        ("e235-n", 120, 235, 340),
    ],
)
def test_hot_strength(material: str, temp_c: float, yield_mpa: float, tensile_mpa: float) -> None:
    (row,) = [s for s in strengths(material) if s.temp_c == temp_c]
    assert (row.yield_mpa, row.tensile_mpa) == (yield_mpa, tensile_mpa)


def test_endurance_is_known_for_two_grades_only() -> None:
    # DIN 2413-1, from memory: about 225 to 226 MPa for normalised St 37.4; St 52.4 bears no less.
    known = {
        (s.material, s.endurance_mpa, s.endurance_source)
        for s in rows(Strength)
        if s.endurance_mpa is not None or s.endurance_source is not None
    }
    assert known == {(grade, 226, "din-2413-1993") for grade in ("e235-n", "e355-n")}


def test_hardness_limits_only_where_a_text_has_one() -> None:
    limits = {m.id: (m.hardness_max, m.hardness_scale) for m in rows(Material) if m.hardness_max}
    assert limits == {"j524": (65, "HRB"), "j525": (65, "HRB"), "tp316l-a269": (90, "HRB")}


def test_what_may_be_preset() -> None:
    assert {m.id for m in rows(Material) if not m.preset} == {
        "copper-r220",
        "n04400-stress-relieved",
    }


def test_invented_temperature_ranges() -> None:
    ranges = {(m.family, m.temp_min_c, m.temp_max_c, m.temp_source) for m in rows(Material)}
    assert ranges == {
        ("carbon-steel", -40, 120, "demo"),
        ("stainless-steel", -60, 200, "demo"),
        ("nickel-copper", -60, 200, "demo"),
        ("copper", -40, 100, "demo"),
    }


def test_derating_never_rises_with_the_temperature() -> None:
    assert {(d.family, d.temp_max_c): d.factor for d in rows(Derating)} == {
        ("carbon-steel", 120): 1.0,
        **{
            (family, temp_c): factor
            for family in ("stainless-steel", "nickel-copper")
            for temp_c, factor in ((60, 0.95), (120, 0.84), (200, 0.72))
        },
    }
    for cool, hot in pairwise(rows(Derating)):
        if cool.family == hot.family:
            assert cool.temp_max_c < hot.temp_max_c
            assert cool.factor >= hot.factor
