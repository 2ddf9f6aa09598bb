"""JSON rows are taken strictly: each value of its own kind, every column there."""

from typing import Any

import msgspec
import pytest

from catalog.loading import BadCell, Limits, rows_from_json
from catalog.seed import shipped_revision


def row(table: str = "targets", **changes: Any) -> dict[str, Any]:
    first: dict[str, Any] = msgspec.to_builtins(shipped_revision().tables[table][0])
    decoded: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(first))
    return {**decoded, **changes}


def bad_of(items: list[Any], table: str = "targets", **limits: int) -> list[BadCell]:
    _, bad = rows_from_json(table, items, Limits(**limits))
    assert bad
    return bad


@pytest.mark.parametrize(
    ("table", "column", "value", "rule"),
    [
        ("targets", "force_kn", "27.5", "not-a-number"),
        ("targets", "force_kn", "27,5", "decimal-comma"),
        ("targets", "force_kn", "27.5 kN", "unit-in-cell"),
        ("targets", "force_kn", None, "blank"),
        ("targets", "force_kn", "", "blank"),
        ("targets", "force_kn", True, "truth-value"),
        ("targets", "force_kn", [27.5], "not-a-number"),
        ("targets", "force_kn", {"value": 27.5}, "not-a-number"),
        ("targets", "force_kn", 0, "out-of-bounds"),
        ("targets", "force_kn", 10**400, "out-of-bounds"),
        ("targets", "force_kn", float("inf"), "out-of-bounds"),
        ("targets", "force_kn", float("nan"), "out-of-bounds"),
        ("targets", "force_kn", 0.1 + 0.2, "too-many-digits"),
        ("targets", "series", 16, "not-a-text"),
        ("targets", "series", None, "blank"),
        ("targets", "series", "", "blank"),
        ("targets", "series", "S ", "stray-space"),
        ("targets", "series", "S\n", "control-letter"),
        ("targets", "family", "steel", "not-in-list"),
        ("targets", "source", None, "blank"),
        ("series", "preset", "yes", "not-yes-or-no"),
        ("series", "preset", 1, "not-yes-or-no"),
        ("presses", "gauges", "gauge-a;gauge-b", "not-a-list"),
        ("presses", "gauges", ["gauge-a", 4], "not-a-text"),
        ("presses", "gauges", ["gauge-a;gauge-b"], "list-item"),
        ("presses", "gauges", [""], "list-item"),
        ("presses", "gauges", ["08-May"], "spreadsheet-date"),
        ("cases", "codes", ["a;b"], "list-item"),
        ("cases", "press", "", "blank"),
        ("gauges", "due_soon_days", 30.5, "not-whole"),
        ("sources", "note", "=1+1", "runs-as-formula"),
        ("sources", "note", "x" * 601, "too-long"),
        ("sources", "note", {}, "not-a-text"),
        ("cautions", "code", "Too Hard", "wrong-form"),
    ],
)
def test_a_value_of_another_kind_is_told(table: str, column: str, value: Any, rule: str) -> None:
    (bad,) = bad_of([row(table), row(table, **{column: value})], table)
    assert (bad.table, bad.line, bad.column, bad.rule) == (table, 2, column, rule)
    assert bad.message
    assert bad.remedy
    msgspec.json.encode(bad)


def test_a_whole_number_may_have_a_point() -> None:
    (read,), bad = rows_from_json("gauges", [row("gauges", due_soon_days=30.0, span=400)])
    assert bad == []
    assert read.due_soon_days == 30  # type: ignore[union-attr]


def test_null_is_a_blank_and_so_is_an_empty_note() -> None:
    rows, bad = rows_from_json("sources", [row("sources", note=None), row("sources", note="")])
    assert bad == []
    assert [r.note for r in rows] == ["", ""]  # type: ignore[union-attr]


@pytest.mark.parametrize("column", sorted(row("sizes")))
def test_a_column_left_out_is_told_even_where_it_may_be_blank(column: str) -> None:
    item = row("sizes")
    del item[column]
    (bad,) = bad_of([item], "sizes")
    assert (bad.line, bad.column, bad.rule) == (1, column, "column-missing")


def test_a_member_too_many_is_told() -> None:
    (bad,) = bad_of([row(colour="red")])
    assert (bad.column, bad.value, bad.rule) == ("colour", "red", "header")
    (bad,) = bad_of([row(force_lbf=6000)])
    assert bad.rule == "unit-in-column"


@pytest.mark.parametrize("item", [None, 1, "S,16", [], [["series", "S"]]])
def test_what_is_no_object_is_no_row(item: Any) -> None:
    (bad,) = bad_of([row(), item])
    assert (bad.line, bad.rule) == (2, "not-a-row")


def test_more_rows_than_the_limit() -> None:
    assert [b.rule for b in bad_of([row()] * 6, rows_a_table=5)] == ["too-many-rows"]
    assert len(rows_from_json("targets", [row()] * 5, Limits(rows_a_table=5))[0]) == 5


def test_a_flood_is_counted() -> None:
    bad = bad_of([{}] * 100, told=10)
    assert len(bad) == 11
    # 100 rows of 14 columns, all left out.
    assert bad[-1].value == str(100 * 14 - 10)
