"""What differs between two revisions: each row and cell that does, as its text in the tables."""

import csv
import io
from typing import Any

import pytest
from msgspec import structs

from catalog.differences import CellChange, RowChange, differences
from catalog.loading import csv_from_rows
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, AnyRow
from catalog.seed import shipped_revision

SHIPPED = shipped_revision()
TARGET = "targets/S/16/1.9/2.1/carbon-steel/metal/none"
PRESS = "presses/press-b"


def row(ref: str) -> AnyRow:
    (found,) = (r for r in SHIPPED.tables[ref.partition("/")[0]] if r.ref == ref)
    return found


def with_rows(**tables: list[AnyRow]) -> Revision:
    return revision_of({**SHIPPED.tables, **tables})


def changed(ref: str, **columns: Any) -> Revision:
    old = row(ref)
    rows = SHIPPED.tables[old.table]
    return with_rows(
        **{old.table: [structs.replace(r, **columns) if r is old else r for r in rows]}
    )


def cells(change: RowChange) -> list[tuple[str, str, str]]:
    return [(cell.column, cell.before, cell.after) for cell in change.cells]


def test_the_same_tables_differ_in_nothing() -> None:
    assert differences(SHIPPED, SHIPPED) == ()
    assert differences(SHIPPED, shipped_revision()) == ()


def test_a_table_that_neither_has_stored_is_compared_by_its_rows() -> None:
    # As of two revisions of an older format, whose cuts are read from their preparation.
    ref = "cut_methods/band-saw"
    now = changed(ref, accepted=False)

    def unstored(revision: Revision) -> Revision:
        stored = {n: at for n, at in revision.manifest.tables.items() if n != "cut_methods"}
        return structs.replace(revision, manifest=structs.replace(revision.manifest, tables=stored))

    (change,) = differences(unstored(SHIPPED), unstored(now))
    assert (change.row, cells(change)) == (ref, [("accepted", "yes", "no")])


def test_a_changed_cell_is_told_as_its_text_before_and_after() -> None:
    (change,) = differences(SHIPPED, changed(TARGET, force_kn=28.6))
    assert (change.table, change.row, change.kind) == ("targets", TARGET, "changed")
    assert change.cells == (CellChange(column="force_kn", before="27.5", after="28.6"),)


@pytest.mark.parametrize(
    ("ref", "column", "value", "before", "after"),
    [
        (PRESS, "gauges", ("gauge-b",), None, "gauge-b"),
        (PRESS, "stroke_mm", 30.5, "30", "30.5"),
        ("materials/e235-n", "preset", False, "yes", "no"),
        ("materials/e235-n", "hardness_max", 90.0, "", "90"),
        ("materials/e235-n", "yield_mpa", None, "235", ""),
        ("gauges/gauge-b", "due_soon_days", 31, "30", "31"),
        ("sources/demo", "note", "seen, twice\nby two", None, "seen, twice\nby two"),
    ],
)
def test_cells_of_every_form(
    ref: str, column: str, value: Any, before: str | None, after: str
) -> None:
    (change,) = differences(SHIPPED, changed(ref, **{column: value}))
    ((told, was, now),) = cells(change)
    assert (told, now) == (column, after)
    # What the office reads in the CSV of the table is what the difference says.
    name = ref.partition("/")[0]
    written = csv.DictReader(io.StringIO(csv_from_rows(name, [row(ref)]), newline=""))
    assert was == next(written)[column]
    assert before is None or was == before


def test_a_new_key_is_a_row_gone_and_a_row_added() -> None:
    found = differences(SHIPPED, changed(TARGET, wall_max_mm=2.2))
    assert {(c.row, c.kind) for c in found} == {
        (TARGET, "removed"),
        ("targets/S/16/1.9/2.2/carbon-steel/metal/none", "added"),
    }
    for change in found:
        told = {column: (before, after) for column, before, after in cells(change)}
        # A blank cell of a row that came or went is not told.
        blank = {"grade", "ring"}
        assert set(told) == set(TABLES["targets"].__struct_fields__) - blank
        assert told["force_kn"] == (("27.5", "") if change.kind == "removed" else ("", "27.5"))


def test_a_blank_cell_of_an_added_row_is_not_told() -> None:
    extra = structs.replace(row("materials/e235-n"), id="e235-n-2")
    (change,) = differences(SHIPPED, with_rows(materials=[*SHIPPED.tables["materials"], extra]))
    assert change.kind == "added"
    assert "hardness_max" not in {column for column, _, _ in cells(change)}
    assert ("id", "", "e235-n-2") in cells(change)


def test_with_nothing_before_every_row_is_added() -> None:
    found = differences(None, SHIPPED)
    assert {c.kind for c in found} == {"added"}
    every = [r.ref for rows in SHIPPED.tables.values() for r in rows]
    assert sorted(c.row for c in found) == sorted(every)
    assert list(dict.fromkeys(c.table for c in found)) == list(TABLES)


def test_backwards_it_is_the_mirror() -> None:
    after = with_rows(
        targets=[r for r in SHIPPED.tables["targets"] if r.ref != TARGET],
        gauges=[structs.replace(r, class_percent=0.6) for r in SHIPPED.tables["gauges"]],
    )
    there, back = differences(SHIPPED, after), differences(after, SHIPPED)
    turned = {"added": "removed", "removed": "added", "changed": "changed"}
    assert {(c.row, turned[c.kind]) for c in there} == {(c.row, c.kind) for c in back}
    forth = {c.row: cells(c) for c in there}
    for change in back:
        assert cells(change) == [(column, new, old) for column, old, new in forth[change.row]]
    # gauge-c has the class 0.6 already.
    assert "gauges/gauge-c" not in forth
    assert len(forth) == len(SHIPPED.tables["gauges"])


def test_the_order_is_that_of_tables_and_keys() -> None:
    after = with_rows(
        cones=[structs.replace(r, rated_force_kn=1.0) for r in SHIPPED.tables["cones"]],
        materials=[structs.replace(r, temp_max_c=1.0) for r in SHIPPED.tables["materials"]],
    )
    found = [c.row for c in differences(SHIPPED, after)]
    in_order = [r.ref for name in ("materials", "cones") for r in SHIPPED.tables[name]]
    assert found == in_order


def test_added_rows_stand_in_the_order_of_their_keys() -> None:
    extra = structs.replace(row("gauges/gauge-b"), id="gauge-bb")
    after = with_rows(
        gauges=[*(structs.replace(r, span=999.0) for r in SHIPPED.tables["gauges"]), extra]
    )
    found = [c.row for c in differences(SHIPPED, after)]
    assert found == sorted(found)
