"""Doubts about changes that no replayed question reads, and about rows under another key."""

from collections.abc import Callable

import pytest
from msgspec import structs

from catalog.differences import differences
from catalog.publishing.unread import replaced_doubts, unread_doubts
from catalog.revision import Revision, revision_of
from catalog.rows import AnyRow
from catalog.seed import shipped_revision

SHIPPED = shipped_revision()
Edit = Callable[[AnyRow], AnyRow]


def edited(table: str, edit: Edit) -> Revision:
    return revision_of({**SHIPPED.tables, table: [edit(row) for row in SHIPPED.tables[table]]})


def setting(**values: object) -> Edit:
    return lambda row: structs.replace(row, **values)


@pytest.mark.parametrize(
    ("table", "values"),
    [
        ("preparation", {"tightest_bend_ods": 3.0}),
        ("cut_methods", {"accepted": True}),
        ("coatings", {"families_accepted": ("copper",), "families_refused": ()}),
        ("fluids", {"temp_min_c": -10.0, "attacks_zinc": False}),
        ("preparation", {"out_of_square_max_deg": 5.0}),
        ("materials", {"seams": ("seamless", "welded-as-is")}),
        ("materials", {"yield_mpa": 258.0, "tensile_mpa": 341.0}),
        ("materials", {"hardness_max": None, "hardness_scale": None}),
        ("rings", {"fluids": ("mineral-oil", "gas")}),
        ("cautions", {"remedy": "press on"}),
        ("cases", {"force_kn": None, "dial_low": None, "dial_high": None}),
        ("tubes", {"od_tolerance_mm": 0.5}),
    ],
)
def test_a_limit_of_the_bench_that_changes_wants_a_reason(
    table: str, values: dict[str, object]
) -> None:
    doubts = list(unread_doubts(differences(SHIPPED, edited(table, setting(**values)))))
    assert {doubt.column for doubt in doubts} == {
        column
        for column in values
        if any(getattr(row, column) != values[column] for row in SHIPPED.tables[table])
    }
    assert {doubt.weight for doubt in doubts} == {"strong"}


def test_what_is_only_said_of_a_document_wants_none() -> None:
    revised = edited("sources", setting(clause="another page"))
    assert differences(SHIPPED, revised)
    assert list(unread_doubts(differences(SHIPPED, revised))) == []


def test_a_force_is_replayed_and_wants_none_here() -> None:
    revised = edited("targets", lambda row: structs.replace(row, tolerance_percent=7.0))
    assert list(unread_doubts(differences(SHIPPED, revised))) == []


def test_a_row_under_another_key_is_told_as_gone_and_new() -> None:
    def moved(row: AnyRow) -> AnyRow:
        return structs.replace(row, od_min_mm=0.11, out_of_square_max_deg=5.0)

    (doubt,) = replaced_doubts(differences(SHIPPED, edited("preparation", moved)))
    assert doubt.weight == "strong"
    assert "preparation/metric-24-degree/0.1" in doubt.message
    assert "preparation/metric-24-degree/0.11" in doubt.message


def test_rows_that_only_come_replace_nothing() -> None:
    row = SHIPPED.tables["gauges"][0]
    more = [*SHIPPED.tables["gauges"], structs.replace(row, id="gauge-new")]
    revised = revision_of({**SHIPPED.tables, "gauges": more})
    assert list(replaced_doubts(differences(SHIPPED, revised))) == []


@pytest.mark.parametrize(
    ("table", "ref", "values", "told"),
    [
        (
            "cones",
            "cone-S-16",
            {"id": "cone-S-16-b", "presses_between_checks_carbon_steel": 240},
            "presses_between_checks_carbon_steel 240",
        ),
        ("presses", "press-b", {"id": "press-9"}, "stroke_mm 30"),
        ("gauges", "gauge-b", {"id": "gauge-9"}, "due_soon_days 30"),
        ("rings", "ring-L-metal-carbon-steel", {"id": "ring-9"}, "lubrication required"),
        ("preparation", "metric-24-degree/0.1", {"od_min_mm": 0.2}, "out_of_square_max_deg 1"),
        ("materials", "e235-n", {"id": "e235-b"}, "yield_mpa 235"),
        ("neighbours", "metric/16", {"od_mm": 16.5}, "od_tolerance_mm"),
        ("tubes", "en-10305-4/16/2", {"wall_mm": 2.1}, "od_tolerance_mm 0.08"),
    ],
)
def test_a_row_that_is_new_counts_like_one_that_changed(
    table: str, ref: str, values: dict[str, object], told: str
) -> None:
    (like,) = (row for row in SHIPPED.tables[table] if row.ref == f"{table}/{ref}")
    new = structs.replace(like, **values)
    revised = revision_of({**SHIPPED.tables, table: [*SHIPPED.tables[table], new]})
    (doubt,) = unread_doubts(differences(SHIPPED, revised))
    assert (doubt.id, doubt.weight) == (f"not-replayed:{table}:", "strong")
    assert doubt.rows == (new.ref,)
    assert f"`{new.ref}`" in doubt.message
    assert told in doubt.message


@pytest.mark.parametrize(
    ("table", "ref", "values"),
    [
        # Every column of these is replayed, or only said of a document.
        ("targets", "S/16/1.9/2.1/carbon-steel/metal/none", {"wall_min_mm": 4.9}),
        ("plates", "plate-metric-16", {"id": "plate-9"}),
        ("sources", "demo", {"id": "demo-2"}),
        # Another case asks more.
        ("cases", "16s-press-b-gauge-b", {"id": "another-case"}),
    ],
)
def test_a_new_row_that_is_replayed_or_only_asks_wants_none(
    table: str, ref: str, values: dict[str, object]
) -> None:
    (like,) = (row for row in SHIPPED.tables[table] if row.ref == f"{table}/{ref}")
    new = structs.replace(like, **values)
    revised = revision_of({**SHIPPED.tables, table: [*SHIPPED.tables[table], new]})
    assert differences(SHIPPED, revised)
    assert list(unread_doubts(differences(SHIPPED, revised))) == []


def test_a_row_that_goes_is_told_by_other_doubts() -> None:
    fewer = revision_of({**SHIPPED.tables, "cones": SHIPPED.tables["cones"][1:]})
    assert list(unread_doubts(differences(SHIPPED, fewer))) == []
