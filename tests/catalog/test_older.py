"""Rows of older formats are read as rows of today."""

import json
from typing import Any

import msgspec
import pytest

from catalog.answers.setup_check import setup_check
from catalog.older import RENAMED, renamed_id, row_of_older
from catalog.questions import SetupCheckQuestion
from catalog.revision import RevisionFormatError, table_rows
from catalog.rows import Ring, Target
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


def test_a_ring_of_format_1_is_one_of_today() -> None:
    cells = {
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
    (row,) = table_rows("rings", json.dumps(cells).encode(), 1)
    assert isinstance(row, Ring)
    assert (row.id, row.ring_style) == ("ring-S-elastomer-sealed-carbon-steel", "elastomer-sealed")


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
            f"`{plate}` is not in the plates of this revision: ids of this form are written like "
            f"`{now}` now"
        )


def test_a_row_of_today_under_an_old_format_is_refused() -> None:
    with pytest.raises(RevisionFormatError, match="not a table of format 1"):
        table_rows("targets", json.dumps({**TARGET, "grade": "x"}).encode(), 1)


def test_a_format_of_a_later_day_is_refused() -> None:
    with pytest.raises(RevisionFormatError, match="format 4, known are 1, 2 and 3"):
        table_rows("targets", b"", 4)
