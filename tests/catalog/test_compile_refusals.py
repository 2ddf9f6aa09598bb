"""One test for each way in which tables are unfit to be compiled, and all of them told at once."""

import re
from collections.abc import Sequence
from typing import Any

import msgspec
import pytest

from catalog.checking import _CHECKS, Fault, faults_of, gaps_of
from catalog.compiling import CompileError, compile_revision
from catalog.findings import CODES
from catalog.formulas import FORMULAS
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, AnyRow
from catalog.seed import shipped_revision

SHIPPED = shipped_revision()
TARGET = "targets/S/16/1.9/2.1/carbon-steel/metal/none"
CASE = "06l-press-a-gauge-b"
THICKER = "targets/S/16/2.4/2.6/carbon-steel/metal/none"


def row(ref: str) -> AnyRow:
    (found,) = [r for r in SHIPPED.tables[ref.split("/")[0]] if r.ref == ref]
    return found


def changed(ref: str, **columns: Any) -> AnyRow:
    values = {**msgspec.to_builtins(row(ref)), **columns}
    return msgspec.convert(values, TABLES[ref.split("/")[0]])


def revision(drop: Sequence[str] = (), add: Sequence[AnyRow] = ()) -> Revision:
    """Shipped tables less some rows, with others added."""
    tables = {name: [r for r in rows if r.ref not in drop] for name, rows in SHIPPED.tables.items()}
    for each in add:
        tables[each.table].append(each)
    return revision_of(tables)


def swapped(ref: str, **columns: Any) -> Revision:
    return revision([ref], [changed(ref, **columns)])


def faults(unfit: Revision) -> list[Fault]:
    with pytest.raises(CompileError) as refused:
        compile_revision(unfit)
    found = refused.value.faults
    assert found == faults_of(unfit)
    for fault in found:
        assert re.fullmatch("[a-z]+(-[a-z]+)+", fault.rule), fault
        for said in (fault.message, fault.remedy):
            assert said.strip() == said != "", fault
            assert said[-1] != ".", fault
        assert fault.remedy[0].islower(), fault
    return found


def the_fault(unfit: Revision) -> tuple[str, str, str]:
    (only,) = faults(unfit)
    return only.row, only.column, only.message


def test_the_shipped_tables_are_fit() -> None:
    assert faults_of(SHIPPED) == []
    assert compile_revision(SHIPPED).revision == SHIPPED.id


@pytest.mark.parametrize("table", sorted(TABLES))
def test_a_doubled_key(table: str) -> None:
    double = SHIPPED.tables[table][0]
    found = faults(revision(add=[double]))
    told = [(f.row, f.column, f.message) for f in found if f.rule == "key-doubled"]
    column = ", ".join(double.key_columns)
    assert told == [(double.ref, column, f"stands 2 times in {table}: keep one")]


def test_a_size_in_other_digits_is_the_same_key() -> None:
    # 16.00001 mm is within the tenth of a micrometre that tells sizes apart.
    again = changed("sizes/S/16", od_mm=16.00001)
    assert ("sizes/S/16", "series, od_mm") in {
        (f.row, f.column) for f in faults(revision(add=[again]))
    }


def test_an_unknown_source() -> None:
    ref, column, message = the_fault(swapped("gauges/gauge-a", source="nowhere"))
    assert (ref, column) == ("gauges/gauge-a", "source")
    assert message == "`nowhere` is not in sources: add it there"


@pytest.mark.parametrize(
    ("ref", "column"),
    [
        ("materials/e235-n", "temp_source"),
        ("strengths/e235-n/120", "endurance_source"),
        ("tubes/en-10305-4/16/2", "tolerance_source"),
        ("sizes/S/16", "geometry_source"),
        ("fluids/mineral-oil", "temp_source"),
        ("preparation/metric-24-degree/0.1", "caliper_source"),
    ],
)
def test_an_unknown_source_of_a_part_of_a_row(ref: str, column: str) -> None:
    assert the_fault(swapped(ref, **{column: "nowhere"}))[:2] == (ref, column)


@pytest.mark.parametrize("source", sorted({formula.source for formula in FORMULAS}))
def test_a_formula_without_its_source(source: str) -> None:
    found = faults(revision([f"sources/{source}"]))
    named = {formula.text for formula in FORMULAS if formula.source == source}
    told = [f.message for f in found if f.row == f"sources/{source}"]
    assert {message.split("`")[1] for message in told} == named


@pytest.mark.parametrize("code", sorted(CODES))
def test_a_code_without_its_text(code: str) -> None:
    assert the_fault(revision([f"cautions/{code}"]))[:2] == (f"cautions/{code}", "code")


def test_a_text_for_no_code() -> None:
    ref, column, message = the_fault(
        revision(add=[changed("cautions/press.missing", code="press.sideways")])
    )
    assert (ref, column) == ("cautions/press.sideways", "code")
    assert "`press.sideways` is no finding code" in message


def test_a_case_that_expects_no_code() -> None:
    case = SHIPPED.tables["cases"][0].ref
    assert the_fault(swapped(case, codes=["tube.sideways"]))[:2] == (case, "codes")


@pytest.mark.parametrize(
    ("ref", "column", "value", "table"),
    [
        ("strengths/e235-n/120", "material", "st-37", "materials"),
        ("rings/ring-L-metal-carbon-steel", "series", "XL", "series"),
        ("presses/press-a", "gauges", ["gauge-a", "gauge-9"], "gauges"),
    ],
)
def test_a_reference_to_no_row(ref: str, column: str, value: Any, table: str) -> None:
    found = faults(swapped(ref, **{column: value}))
    named = value[-1] if isinstance(value, list) else value
    assert f"`{named}` is not in {table}: add it there" in {
        f.message for f in found if f.column == column
    }


@pytest.mark.parametrize("ref", ["sizes/S/16", "cones/cone-S-16", TARGET])
def test_a_row_of_no_series(ref: str) -> None:
    messages = {f.message for f in faults(swapped(ref, series="XL")) if f.column == "series"}
    assert messages == {"`XL` is not in series: add it there"}


def test_a_series_that_is_gone_is_missed_by_every_row_of_it() -> None:
    found = faults(revision(["series/S"]))
    of_series = [
        r.ref
        for name in ("sizes", "rings", "cones", "targets")
        for r in SHIPPED.tables[name]
        if getattr(r, "series", "") == "S"
    ]
    assert {f.row for f in found if "is not in series" in f.message} == set(of_series)


def test_a_target_without_its_size() -> None:
    found = faults(revision(["sizes/S/16"]))
    message = "no such size of this series: add it to sizes"
    assert (TARGET, "od_mm", message) in {(f.row, f.column, f.message) for f in found}


def test_a_cone_without_its_size() -> None:
    found = faults(revision(add=[changed("cones/cone-S-16", id="cone-S-17", od_mm=17)]))
    assert [(f.row, f.column) for f in found] == [("cones/cone-S-17", "od_mm")]


def test_a_size_without_a_cone() -> None:
    ref, column, message = the_fault(revision(["cones/cone-S-20"]))
    assert (ref, column) == ("sizes/S/20", "od_mm")
    assert "no forming cone" in message


def test_a_size_without_a_plate() -> None:
    ref, column, message = the_fault(revision(["plates/plate-metric-16"]))
    assert (ref, column) == ("sizes/S/16", "od_mm")
    assert "no thrust plate" in message


def test_a_series_that_is_not_preset_needs_no_tooling() -> None:
    # LL is listed and has neither cone nor plate of its own.
    assert any(getattr(r, "series", "") == "LL" for r in SHIPPED.tables["sizes"])
    assert not any(getattr(r, "series", "") == "LL" for r in SHIPPED.tables["cones"])


def test_a_target_without_a_ring_set() -> None:
    found = faults(revision(["rings/ring-S-metal-carbon-steel"]))
    assert {f.message for f in found} == {"no ring set of this series, style and family"}
    assert TARGET in {f.row for f in found}


def test_a_target_that_finishes_otherwise_than_its_ring() -> None:
    ref, column, message = the_fault(swapped(TARGET, finish="at-contact"))
    assert (ref, column) == (TARGET, "finish")
    assert "says `at-pressure`" in message


def test_a_ceiling_below_the_top_of_the_band() -> None:
    # 27.5 kN + 8 % = 29.7 kN.
    ref, column, message = the_fault(swapped(TARGET, ceiling_kn=29.6))
    assert (ref, column) == (TARGET, "ceiling_kn")
    assert message == "29.6 kN is below the band's top 29.7 kN"
    # In binary 27.5 x 1.08 is a little more than 29.7, and a limit that is met passes.
    assert faults_of(swapped(TARGET, ceiling_kn=29.7)) == []


def test_bands_that_overlap() -> None:
    # Bands are closed on both sides: one that begins where another ends shares that wall with it.
    found = faults(swapped(TARGET, wall_max_mm=2.4))
    assert [(f.row, f.column) for f in found] == [(THICKER, "wall_min_mm")]
    assert "overlaps targets/S/16/1.9/2.4/carbon-steel/metal/none" in found[0].message
    assert faults_of(swapped(TARGET, wall_max_mm=2.3999)) == []


def test_a_band_inside_another_overlaps_too() -> None:
    inside = changed(TARGET, wall_min_mm=1.95, wall_max_mm=2.0)
    assert "overlaps" in the_fault(revision(add=[inside]))[2]


def test_bands_with_and_without_an_insert_may_meet() -> None:
    assert faults_of(revision(add=[changed(TARGET, insert="fitted")])) == []


def test_a_band_that_ends_before_it_begins() -> None:
    ref, column, message = the_fault(swapped(TARGET, wall_min_mm=2.05, wall_max_mm=1.95))
    assert ref == "targets/S/16/2.05/1.95/carbon-steel/metal/none"
    assert (column, message) == ("wall_min_mm", "the band ends before it begins")


def test_a_gap_between_bands_is_legal_and_told() -> None:
    told = gaps_of(SHIPPED)
    assert faults_of(SHIPPED) == []
    assert "S 16 carbon-steel metal: no target between wall 2.1 and 2.4 mm" in told
    closed = gaps_of(swapped(TARGET, wall_max_mm=2.3999))
    assert "S 16 carbon-steel metal: no target between wall 2.1 and 2.4 mm" not in closed
    assert "LL 6: no target at all" in told


def test_limits_that_overlap() -> None:
    limit = "preparation/metric-24-degree/0.1"
    second = changed(limit, od_min_mm=30)
    assert "overlaps" in the_fault(revision(add=[second]))[2]
    parted = revision([limit], [changed(limit, od_max_mm=29.9), second])
    assert faults_of(parted) == []


def test_limits_that_end_before_they_begin() -> None:
    unfit = swapped("preparation/metric-24-degree/0.1", od_min_mm=30, od_max_mm=20)
    assert the_fault(unfit)[1:] == ("od_min_mm", "the band ends before it begins")


@pytest.mark.parametrize("wall", [8, 9])
def test_a_tube_without_a_bore(wall: float) -> None:
    ref, column, _ = the_fault(swapped("tubes/en-10305-4/16/2", wall_mm=wall))
    assert (ref, column) == (f"tubes/en-10305-4/16/{wall}", "wall_mm")


def test_an_insert_that_is_useless_where_it_is_not_needed() -> None:
    insert = "inserts/carbon-steel/16"
    assert the_fault(swapped(insert, useless_below_mm=5))[:2] == (insert, "useless_below_mm")


@pytest.mark.parametrize("ref", ["materials/e235-n", "series/S", "fluids/hees"])
def test_a_range_of_temperature_upside_down(ref: str) -> None:
    assert the_fault(swapped(ref, temp_min_c=300))[:2] == (ref, "temp_min_c")


@pytest.mark.parametrize(
    ("ref", "columns"),
    [
        ("materials/j524", {"hardness_scale": None}),
        ("materials/j524", {"hardness_max": None}),
        ("materials/e235-n", {"hardness_max": 90.0}),
    ],
)
def test_a_hardness_without_its_scale_or_its_limit(ref: str, columns: dict[str, Any]) -> None:
    assert the_fault(swapped(ref, **columns))[:2] == (ref, "hardness_scale")


SET_A, SET_B = "ring-L-metal-carbon-steel", "ring-L-18-metal-carbon-steel-b"
OF_SET_A = f"targets/L/18/1.9/2.1/carbon-steel/metal/{SET_A}/none"


def test_a_target_that_does_not_say_which_of_two_ring_sets_it_is_for() -> None:
    ref, column, message = the_fault(swapped(OF_SET_A, ring=None))
    assert (ref, column) == ("targets/L/18/1.9/2.1/carbon-steel/metal/none", "ring")
    assert f"`{SET_A}`" in message
    assert f"`{SET_B}`" in message


def test_a_second_ring_set_leaves_every_blank_row_of_its_size_open() -> None:
    double = changed("rings/ring-S-metal-carbon-steel", id="ring-S-16-metal-other", od_mm=16)
    blank = [
        r.ref
        for r in SHIPPED.tables["targets"]
        if r.ref.startswith("targets/S/16/") and "/carbon-steel/" in r.ref and "/metal/" in r.ref
    ]
    found = faults(revision(add=[double]))
    assert {(f.row, f.column) for f in found} == {(ref, "ring") for ref in blank}
    # At an od that no row of this style has, nothing is in doubt.
    elsewhere = changed("rings/ring-flareless-metal-carbon-steel", id="ring-x", od_mm=50.8)
    assert faults_of(revision(add=[elsewhere])) == []


def test_two_ring_sets_beside_a_blank_row_and_one_of_no_od_are_refused_at_once() -> None:
    stray = changed(f"rings/{SET_B}", id="ring-L-19-metal", od_mm=19)
    found = faults(revision([OF_SET_A], [stray, changed(OF_SET_A, ring=None)]))
    blank = "targets/L/18/1.9/2.1/carbon-steel/metal/none"
    assert {(f.row, f.column) for f in found} == {
        (blank, "ring"),
        ("rings/ring-L-19-metal", "od_mm"),
    }


@pytest.mark.parametrize(
    "ring",
    ["ring-9", "ring-S-metal-carbon-steel", "ring-L-elastomer-sealed-carbon-steel"],
    ids=["unknown", "of another series", "of another style"],
)
def test_a_target_of_a_ring_set_that_it_cannot_be_for(ring: str) -> None:
    found = faults(swapped(OF_SET_A, ring=ring))
    assert {f.column for f in found} == {"ring"}
    assert any(f"`{ring}`" in f.message for f in found)


def test_a_target_of_a_ring_set_of_another_od() -> None:
    ref = "targets/L/15/1.9/2.1/carbon-steel/metal/none"
    assert the_fault(swapped(ref, ring=SET_B))[1] == "ring"
    assert faults_of(swapped(ref, ring=SET_A)) == []


@pytest.mark.parametrize("grade", ["st-37", "en-1.4571"], ids=["unknown", "of another family"])
def test_a_target_of_a_grade_that_its_family_does_not_have(grade: str) -> None:
    found = faults(swapped(TARGET, grade=grade))
    assert {f.column for f in found} == {"grade"}
    assert f"`{grade}` is no grade of carbon-steel in materials" in {f.message for f in found}


def test_a_ring_set_of_an_od_that_its_series_does_not_have() -> None:
    ring = changed("rings/ring-S-metal-carbon-steel", id="ring-S-18", od_mm=18)
    ref, column, message = the_fault(revision(add=[ring]))
    assert (ref, column) == ("rings/ring-S-18", "od_mm")
    assert message == "no such size of this series: add it to sizes"


@pytest.mark.parametrize("name", ["E355-N", "st52.4"], ids=["id", "name"])
def test_a_name_that_means_two_grades(name: str) -> None:
    # In small or large letters; the other grade has it as its id, or as a name of its own.
    found = faults(swapped("materials/e235-n", names=[name]))
    assert ("materials/e235-n", "names") in {(f.row, f.column) for f in found}
    assert {f.rule for f in found} == {"name-doubled"}
    assert any(f"`{name}` is `e355-n` too" in f.message for f in found)


def test_a_name_that_its_own_grade_has_too_is_no_fault() -> None:
    assert faults_of(swapped("materials/e235-n", names=["E235-N", "E235+N"])) == []


def test_bands_of_another_grade_or_ring_set_may_meet() -> None:
    assert faults_of(swapped(TARGET, grade="j524")) == []
    of_set_b = OF_SET_A.replace(SET_A, SET_B)
    assert faults_of(swapped(of_set_b, wall_min_mm=1.7)) == []


def test_bands_of_one_grade_or_one_ring_set_may_not() -> None:
    own = changed("targets/S/16/1.9/2.1/carbon-steel/e355-n/metal/none", wall_max_mm=2.0)
    assert "overlaps" in the_fault(revision(add=[own]))[2]
    of_set = changed(OF_SET_A, wall_max_mm=2.0)
    assert "overlaps" in the_fault(revision(add=[of_set]))[2]


def test_every_fault_is_told_at_once_with_row_and_column() -> None:
    unfit = revision(
        [
            "cautions/press.missing",
            "cones/cone-S-20",
            "gauges/gauge-a",
            "materials/e235-n",
            "sources/mechanics",
            TARGET,
        ],
        [
            changed("gauges/gauge-a", source="nowhere"),
            changed("materials/e235-n", temp_min_c=300),
            changed(TARGET, ceiling_kn=1, wall_max_mm=2.4),
            row("gauges/gauge-b"),
        ],
    )
    found = {(f.row, f.column) for f in faults(unfit)}
    assert {
        ("gauges/gauge-b", "id"),
        ("gauges/gauge-a", "source"),
        ("sources/mechanics", "id"),
        ("cautions/press.missing", "code"),
        ("sizes/S/20", "od_mm"),
        ("targets/S/16/1.9/2.4/carbon-steel/metal/none", "ceiling_kn"),
        (THICKER, "wall_min_mm"),
        ("materials/e235-n", "temp_min_c"),
    } <= found
    assert all(f.message and f.message[0] != " " for f in faults(unfit))


@pytest.mark.parametrize(
    ("ref", "column", "both"),
    [
        ("coatings/phosphated", "families_refused", ["carbon-steel"]),
        ("fluids/mineral-oil", "seals_refused", ["nitrile"]),
    ],
)
def test_what_is_accepted_and_refused(ref: str, column: str, both: list[str]) -> None:
    found = the_fault(swapped(ref, **{column: both}))
    assert found == (ref, column, f"`{both[0]}` is accepted too: it can be one of the two")


def test_a_ring_that_must_be_lubricated_nowhere() -> None:
    ref, column, _ = the_fault(swapped("rings/ring-S-metal-carbon-steel", lubricate=[]))
    assert (ref, column) == ("rings/ring-S-metal-carbon-steel", "lubricate")
    assert (
        the_fault(swapped("rings/ring-S-metal-carbon-steel", lubrication="dry"))[1] == "lubricate"
    )


def test_a_gauge_that_stands_twice() -> None:
    ref, column, _ = the_fault(swapped("presses/press-b", gauges=["gauge-b", "gauge-b"]))
    assert (ref, column) == ("presses/press-b", "gauges")


def test_a_protector_that_closes_above_what_its_gauge_survives() -> None:
    late = {"protected_to": 290.1, "protected_tolerance": 10, "overload": 300}
    ref, column, _ = the_fault(swapped("gauges/gauge-d", **late))
    assert (ref, column) == ("gauges/gauge-d", "protected_to")
    assert faults_of(swapped("gauges/gauge-d", **{**late, "protected_to": 290})) == []
    # What it survives by the usual share alone is no word of the row: the press decides.
    assert faults_of(swapped("gauges/gauge-d", **{**late, "overload": None})) == []


EVERY_RULE: dict[str, Revision] = {
    "key-doubled": revision(add=[row("gauges/gauge-a")]),
    "source-unknown": swapped("gauges/gauge-a", source="nowhere"),
    "text-missing": revision(["cautions/press.missing"]),
    "reference-unknown": swapped("presses/press-a", gauges=["gauge-a", "gauge-9"]),
    "tooling-missing": revision(["cones/cone-S-20"]),
    "target-without-ground": swapped(TARGET, ceiling_kn=29.6),
    "bands-overlap": swapped(TARGET, wall_max_mm=2.4),
    "wall-impossible": swapped("tubes/en-10305-4/16/2", wall_mm=8),
    "list-contradiction": swapped("rings/ring-S-metal-carbon-steel", lubricate=[]),
    "range-reversed": swapped("series/S", temp_min_c=300),
    "no-such-dial": swapped("gauges/gauge-a", graduation=25),
    "name-doubled": swapped("materials/e235-n", names=["e355-n"]),
}
"""Tables that break one rule each, and only that one."""


@pytest.mark.parametrize("rule", EVERY_RULE)
def test_a_rule_is_named_by_the_fault_that_it_finds(rule: str) -> None:
    assert {fault.rule for fault in faults(EVERY_RULE[rule])} == {rule}


def test_every_rule_is_broken_by_a_case() -> None:
    assert {rule for rule, _ in _CHECKS.values()} == set(EVERY_RULE)


@pytest.mark.parametrize(
    ("unfit", "rule", "remedy"),
    [
        (swapped("presses/press-b", gauges=["gauge-b"] * 2), "list-contradiction", "once"),
        (swapped(TARGET, wall_min_mm=2.05, wall_max_mm=1.95), "range-reversed", "exchange"),
        (swapped("cases/" + CASE, codes=["tube.sideways"]), "reference-unknown", "finding code"),
        (swapped("rings/ring-S-metal-carbon-steel", lubrication="dry"), "list-contradiction", "or"),
    ],
    ids=["gauge twice", "band upside down", "code of a case", "lubricated dry"],
)
def test_a_fault_of_another_kind_than_its_check_says_so(
    unfit: Revision, rule: str, remedy: str
) -> None:
    (only,) = faults(unfit)
    assert only.rule == rule
    assert remedy in only.remedy


def test_limits_of_the_tube_end_overlap_by_the_rule_of_bands() -> None:
    # Bands of walls and bands of ods are told by one rule, each with its own remedy.
    second = changed("preparation/metric-24-degree/0.1", od_min_mm=30)
    (limits,) = faults(revision(add=[second]))
    (walls,) = faults(EVERY_RULE["bands-overlap"])
    assert limits.rule == walls.rule == "bands-overlap"
    assert "od" in limits.remedy
    assert "wall" in walls.remedy
