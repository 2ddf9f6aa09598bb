"""Rows of older formats are read as rows of today."""

import json
from typing import Any

import msgspec
import pytest

from catalog.answers.setup_check import setup_check
from catalog.older import RENAMED, renamed_id, row_of_older, tables_of_older
from catalog.questions import SetupCheckQuestion
from catalog.revision import RevisionFormatError, table_bytes, table_rows, tables_of
from catalog.rows import TABLES, Coating, CutMethod, Gauge, Material, Preparation, Ring, Target
from catalog.seed import shipped_revision
from tests.catalog.synthetic import shipped_with

TARGET = {
    "series": "J514",
    "od_mm": 12.7,
    "wall_min_mm": 1.18,
    "wall_max_mm": 1.31,
    "family": "carbon-steel",
    "ring_style": "metal",
    "insert": "none",
    "force_kn": 19.0,
    "tolerance_percent": 20.0,
    "finish": "at-closed-gap",
    "ceiling_kn": 24.7,
    "source": "demo",
}


def test_a_target_of_format_1_is_one_of_today() -> None:
    (row,) = table_rows("targets", json.dumps(TARGET).encode(), 1)
    assert isinstance(row, Target)
    assert (row.series, row.finish) == ("flareless", "at-contact")
    assert row.force_kn == TARGET["force_kn"]
    # It was for every grade of its family and for the only ring set.
    assert (row.grade, row.ring) == (None, None)


RING = {
    "id": "ring-S-soft-seal-carbon-steel",
    "series": "S",
    "ring_style": "soft-seal",
    "material": "carbon-steel",
    "tube_families": ["carbon-steel"],
    "finish": "at-pressure",
    "lubrication": "dry",
    "lubricate": [],
    "seal_temp_min_c": -30.0,
    "seal_temp_max_c": 100.0,
    "seal_rated_pressure_bar": None,
    "fluids": ["mineral-oil"],
    "source": "demo",
}


def test_a_ring_of_format_1_is_one_of_today() -> None:
    (row,) = table_rows("rings", json.dumps(RING).encode(), 1)
    assert isinstance(row, Ring)
    assert (row.id, row.ring_style) == ("ring-S-elastomer-sealed-carbon-steel", "elastomer-sealed")


RING_2 = {**RING, "id": "ring-S-x", "ring_style": "elastomer-sealed"}


def test_a_ring_of_format_2_is_of_every_od_and_for_the_fluids_that_it_names() -> None:
    (row,) = table_rows("rings", json.dumps(RING_2).encode(), 2)
    assert isinstance(row, Ring)
    assert (row.od_mm, row.oil_thread, row.hold_s, row.seal_material) == (None, False, None, None)
    assert row.fluids == ("mineral-oil",)


@pytest.mark.parametrize("written", [1, 2])
def test_a_ring_that_named_no_fluid_is_not_for_all_of_them(written: int) -> None:
    cells = {**(RING if written == 1 else RING_2), "fluids": []}
    (row,) = table_rows("rings", json.dumps(cells).encode(), written)
    assert isinstance(row, Ring)
    assert row.fluids != ()
    assert not set(row.fluids) & set(shipped_with().fluids)


PREPARATION = {
    "system": "metric-24-degree",
    "od_min_mm": 0.1,
    "od_max_mm": 1000.0,
    "out_of_square_max_deg": 1.0,
    "cuts_accepted": ["toothed-saw"],
    "cuts_refused": ["wheel-cutter"],
    "coatings_accepted": ["none", "electroplated"],
    "coatings_refused": ["painted"],
    "coating_source": "coating-practice-memory",
    "caliper_uncertainty_mm": 0.02,
    "caliper_source": "demo",
    "source": "common-practice",
}
INCH = {
    **PREPARATION,
    "system": "inch-flareless",
    "cuts_accepted": ["toothed-saw", "wheel-cutter", "band-saw"],
    "cuts_refused": [],
    "coatings_accepted": ["none", "painted", "phosphated"],
    "coatings_refused": ["electroplated", "hot-dip-galvanised"],
}
FAMILIES = {"carbon-steel", "stainless-steel", "nickel-copper", "copper"}


@pytest.mark.parametrize("written", [1, 2])
def test_lists_of_the_tube_end_are_tables_of_today(written: int) -> None:
    lines = b"".join(json.dumps(each).encode() + b"\n" for each in (PREPARATION, INCH))
    tables = tables_of({"preparation": lines}, written)
    assert list(tables) == list(TABLES)
    # One row says it of both systems: what one refuses is refused, and what one did not know, such
    # as the band saw of the inch bench, is known to neither, so that no verdict becomes kinder.
    cuts = {r.id: r.accepted for r in tables["cut_methods"] if isinstance(r, CutMethod)}
    assert cuts == {"toothed-saw": True, "wheel-cutter": False}
    coatings = {
        r.id: (set(r.families_accepted), set(r.families_refused), r.zinc)
        for r in tables["coatings"]
        if isinstance(r, Coating)
    }
    assert coatings == {
        "electroplated": (set(), FAMILIES, True),
        "hot-dip-galvanised": (set(), FAMILIES, True),
        "painted": (set(), FAMILIES, False),
        "phosphated": (set(), set(), False),
    }
    assert {r.source for r in tables["cut_methods"] if isinstance(r, CutMethod)} == {
        "common-practice"
    }
    assert {r.source for r in tables["coatings"] if isinstance(r, Coating)} == {
        "coating-practice-memory"
    }
    limits = [r for r in tables["preparation"] if isinstance(r, Preparation)]
    assert {r.tightest_bend_ods for r in limits} == {2}


def test_a_coating_that_every_row_accepts_is_accepted_on_every_family() -> None:
    (coating,) = tables_of_older([PREPARATION])["coatings"][:1]
    assert coating["id"] == "electroplated"
    assert set(coating["families_accepted"]) == FAMILIES
    assert coating["families_refused"] == []


def test_a_table_of_a_later_day_is_empty_in_an_older_revision() -> None:
    tables = tables_of({"targets": json.dumps(TARGET).encode()}, 1)
    assert list(tables) == list(TABLES)
    assert [name for name, rows in tables.items() if rows] == ["targets"]


def test_tables_of_today_are_read_as_they_stand() -> None:
    revision = shipped_revision()
    contents = {name: table_bytes(rows) for name, rows in revision.tables.items()}
    tables = tables_of(contents)
    assert {name: table_bytes(rows) for name, rows in tables.items()} == contents


@pytest.mark.parametrize(
    "cells",
    [
        {key: value for key, value in PREPARATION.items() if key != "cuts_refused"},
        {**PREPARATION, "cuts_accepted": None},
        {**PREPARATION, "coatings_refused": [7]},
        {**PREPARATION, "cuts_accepted": ["a saw"]},
    ],
    ids=["no list", "not a list", "not a word", "not an id"],
)
def test_a_list_of_the_tube_end_that_is_none_is_refused(cells: dict[str, Any]) -> None:
    with pytest.raises(RevisionFormatError, match="`preparation` is not a table of format 2"):
        tables_of({"preparation": json.dumps(cells).encode()}, 2)


def test_columns_that_a_format_did_not_have_say_nothing() -> None:
    cells = msgspec.to_builtins(shipped_with().materials["e235-n"])
    older = {k: v for k, v in cells.items() if k not in {"names", "least_bore_mm"}}
    (material,) = table_rows("materials", json.dumps(older).encode(), 2)
    assert isinstance(material, Material)
    assert (material.names, material.least_bore_mm) == ((), None)
    cells = msgspec.to_builtins(shipped_with().gauges["gauge-c"])
    new = {"overload", "protected_to", "protected_tolerance"}
    older = {k: v for k, v in cells.items() if k not in new}
    (gauge,) = table_rows("gauges", json.dumps(older).encode(), 1)
    assert isinstance(gauge, Gauge)
    assert (gauge.overload, gauge.protected_to) == (None, None)
    with pytest.raises(RevisionFormatError, match="not a table of format 2"):
        table_rows("gauges", json.dumps(older).encode(), 2)


@pytest.mark.parametrize(
    ("then", "now"),
    [
        ("J514", "flareless"),
        ("cone-J514-10", "cone-flareless-10"),
        ("ring-J514-metal-carbon-steel", "ring-flareless-metal-carbon-steel"),
        ("ring-L-soft-seal-stainless-steel", "ring-L-elastomer-sealed-stainless-steel"),
        ("ring-J514-soft-seal-x", "ring-flareless-elastomer-sealed-x"),
        ("plate-m-16", "plate-metric-16"),
        ("plate-j-10", "plate-inch-10"),
        ("cone-S-16", "cone-S-16"),
        ("plate-metric-16", "plate-metric-16"),
        ("SAE J514", "SAE J514"),
    ],
)
def test_an_id_has_one_name_of_today(then: str, now: str) -> None:
    assert renamed_id(then) == now
    assert renamed_id(now) == now


def test_codes_of_texts_and_cases_are_renamed() -> None:
    text = row_of_older(1, "cautions", {"code": "press.closed-too-easily", "text": "x"})
    assert text == {"code": "press.contact-too-easy", "text": "x"}
    case = row_of_older(1, "cases", {"series": "J514", "codes": ["tube.coating", *RENAMED]})
    assert case["series"] == "flareless"
    assert case["codes"] == ["tube.coating", *RENAMED.values()]


@pytest.mark.parametrize(
    ("table", "cells"),
    [
        ("targets", {**TARGET, "series": None}),
        ("targets", {**TARGET, "series": 514}),
        ("targets", {**TARGET, "ring_style": ["metal"]}),
        ("targets", {**TARGET, "finish": {"at": "pressure"}}),
        ("series", {"id": None}),
        ("cases", {"codes": None}),
        ("cases", {"codes": 7}),
        ("cases", {"codes": [["tube.coating"]]}),
    ],
)
def test_a_cell_that_is_no_word_is_refused(table: str, cells: dict[str, Any]) -> None:
    with pytest.raises(RevisionFormatError, match=f"`{table}` is not a table of format 1"):
        table_rows(table, json.dumps(cells).encode(), 1)


def test_an_id_of_older_days_is_told_its_form_of_today_whether_or_not_there_is_one() -> None:
    for plate in ("plate-m-16", "plate-m-999"):
        asked = msgspec.convert({"tooling": {"plate": plate}}, SetupCheckQuestion)
        answer = setup_check(shipped_with(), asked)
        (found,) = (f for f in answer.findings if f.code == "tooling.plate-unknown")
        now = plate.replace("-m-", "-metric-")
        assert found.message == (
            f"`{plate}` is not in the plates of this revision, ids of this form are written like "
            f"`{now}` now"
        )


def test_a_row_of_today_under_an_old_format_is_refused() -> None:
    with pytest.raises(RevisionFormatError, match="not a table of format 1"):
        table_rows("targets", json.dumps({**TARGET, "grade": "x"}).encode(), 1)


def test_a_format_of_a_later_day_is_refused() -> None:
    with pytest.raises(RevisionFormatError, match="format 4, known are 1, 2 and 3"):
        table_rows("targets", b"", 4)
