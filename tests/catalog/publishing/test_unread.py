"""Doubts about changes that no replayed question reads, and about rows under another key."""

from collections.abc import Callable

import pytest
from msgspec import structs

from catalog.differences import differences
from catalog.publishing.grades import grade_doubts
from catalog.publishing.unread import replaced_doubts, unread_doubts
from catalog.revision import Revision, revision_of
from catalog.rows import AnyRow, Source
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
        ("preparation", {"cuts_accepted": ("toothed-saw", "wheel-cutter"), "cuts_refused": ()}),
        ("preparation", {"out_of_square_max_deg": 5.0}),
        ("materials", {"seams": ("seamless", "welded-as-is")}),
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


def test_a_raised_grade_wants_a_reason_whatever_its_note_says() -> None:
    def raised(row: AnyRow) -> AnyRow:
        assert isinstance(row, Source)
        return structs.replace(row, grade="standard", note=f"{row.note}.")

    (doubt,) = grade_doubts(edited("sources", raised), SHIPPED)
    assert (doubt.kind, doubt.weight) == ("grade-raised", "strong")
    assert list(grade_doubts(SHIPPED, SHIPPED)) == []


def test_a_new_source_that_is_trusted_much_wants_a_reason() -> None:
    new = structs.replace(SHIPPED.tables["sources"][0], id="new-document", grade="standard")
    revised = revision_of({**SHIPPED.tables, "sources": [*SHIPPED.tables["sources"], new]})
    (doubt,) = grade_doubts(revised, SHIPPED)
    assert "`sources/new-document` new -> standard" in doubt.message
