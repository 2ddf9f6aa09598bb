"""A change that shows in nothing that is replayed is named, and what is named shows in nothing."""

from collections.abc import Iterator
from itertools import islice
from typing import Any

import pytest
from msgspec import structs

from catalog.compiling import CompileError, compile_revision
from catalog.impact import impact_of
from catalog.impact.not_replayed import NOT_REPLAYED
from catalog.index import Index
from catalog.publishing import report_on
from catalog.revision import revision_of
from catalog.rows import TABLES, AnyRow, key_of
from tests.catalog.answers.read_rows import others, with_columns
from tests.catalog.impact.small import impact_between, indexes, one, row_like, small

pytestmark = pytest.mark.apart

WHOLE = {name for name in NOT_REPLAYED if "." not in name}
COLUMNS = [
    f"{name}.{column}"
    for name, kind in TABLES.items()
    if name not in WHOLE
    for column in kind.__struct_fields__
    if column not in (*kind.key_columns, "od_mm")
]
IN_PART = {"presses.stroke_mm", "materials.yield_mpa", "materials.seams"}
"""Named although a change may show: the oil that a stroke takes may be too much for the pump, and
the margin of a yield shows at the usual proof factor, while a line may be tested at another. A
grade that may be welded has no rating without a quality factor; a wrong seam shows nowhere."""
KEYS_OF_ROWS = {"materials.family", "materials.standard", "rings.series", "cones.series"}
KEYS_OF_ROWS |= {"rings.ring_style", "rings.material", "plates.system", "series.system"}
"""What a row is for: to change it is to take the row out and to put another in."""
BESIDE: dict[str, tuple[dict[str, Any], float]] = {
    "gauges.overload": ({"protected_to": None, "protected_tolerance": None}, 400.0),
    "gauges.protected_tolerance": ({"protected_to": 66.0, "protected_tolerance": 4.0}, 8.0),
}
"""Columns that count beside others alone: what gauge-c must be like, and what then shows.

A gauge without a protector meets the 360 bar of press-c, and survives 1.25 x 160 = 200 of them; one
that closes at 66 - 4 bar stops short of all that 16 mm asks of it sooner at 66 - 8.
"""
TOGETHER = {"rings.finish", "targets.finish", "materials.hardness_max", "materials.hardness_scale"}
"""Changed in pairs alone: a ring set and its targets finish alike, a limit has its scale."""


def _values(row: AnyRow, column: str) -> Iterator[Any]:
    value = getattr(row, column)
    if value is None:
        yield from (1.0, 90.0, 1000.0, "HRB", "our-notes")
    elif isinstance(value, float | int) and not isinstance(value, bool):
        yield from (value * 1.001, value * 0.5, value * 2, value + 1, value / 10)
    elif column.endswith("source"):
        yield "our-notes"
    else:
        yield from others(row, column, value)
        yield None


def _changed(name: str) -> Iterator[Index]:
    """The small shop with a column changed: in every row, else in each row that can stand alone."""
    table, _, column = name.partition(".")
    rows = small().tables[table]
    for n in range(max(len(list(_values(row, column))) for row in rows)):
        changed = {row.ref: _nth(row, column, n) for row in rows}
        if not any(changed.values()):
            continue
        whole = _fit(table, [changed[row.ref] or row for row in rows])
        if whole is not None:
            yield whole
            continue
        for row in rows:
            other = changed[row.ref]
            if other is not None:
                alone = _fit(table, [other if each is row else each for each in rows])
                if alone is not None:
                    yield alone


def _nth(row: AnyRow, column: str, n: int) -> AnyRow | None:
    values = list(_values(row, column))
    return with_columns(row, {column: values[n]}) if n < len(values) else None


def _fit(table: str, rows: list[AnyRow]) -> Index | None:
    # Its id is of no account here, and takes as long to work out as all the rest.
    tables = {**small().tables, table: tuple(sorted(rows, key=key_of))}
    try:
        return compile_revision(structs.replace(small(), id="changed", tables=tables))
    except CompileError:
        return None


def _shows(index: Index) -> bool:
    before, _ = indexes(small(), small())
    found = impact_of(before, index, ())
    return bool(found.changes or found.ratings)


ALONE = [name for name in COLUMNS if name not in KEYS_OF_ROWS | TOGETHER | set(BESIDE)]


@pytest.mark.parametrize(
    "name", [name for name in ALONE if name in NOT_REPLAYED and name not in IN_PART]
)
def test_what_is_named_shows_in_nothing(name: str) -> None:
    tried = list(islice(_changed(name), 4))
    assert tried
    assert not any(_shows(index) for index in tried)


@pytest.mark.parametrize("name", [name for name in ALONE if name not in NOT_REPLAYED])
def test_a_change_of_what_is_not_named_shows(name: str) -> None:
    assert any(_shows(index) for index in _changed(name))


@pytest.mark.parametrize("name", BESIDE)
def test_a_change_beside_others_shows(name: str) -> None:
    (like, value), column = BESIDE[name], name.partition(".")[2]
    before = small(one("gauges", "gauge-c", **like))
    after = small(one("gauges", "gauge-c", **{**like, column: value}))
    assert impact_between(before, after).changes


def test_a_limit_of_hardness_shows_in_nothing() -> None:
    changes = one("materials", "e235-n", hardness_max=90.0, hardness_scale="HRB")
    assert not _shows(compile_revision(small(changes)))


def test_every_column_that_is_named_is_one_of_a_table() -> None:
    assert {name for name in NOT_REPLAYED if "." in name} <= set(COLUMNS)
    assert set(TABLES) >= WHOLE
    assert len(set(NOT_REPLAYED)) == len(NOT_REPLAYED)


@pytest.mark.parametrize("table", sorted(WHOLE - {"cases", "preparation"}))
def test_a_table_that_is_named_shows_in_nothing(table: str) -> None:
    rows = small().tables[table]
    for change in ("od_tolerance_mm", "remedy"):
        column = change if hasattr(rows[0], change) else "source"
        others_of = [with_columns(row, {column: _other(row, column)}) or row for row in rows]
        revision = revision_of({**small().tables, table: others_of})
        assert revision.id != small().id
        assert not _shows(compile_revision(revision))


def _other(row: AnyRow, column: str) -> Any:
    return next(_values(row, column))


def test_a_report_names_what_of_its_changes_is_not_replayed() -> None:
    changes = (
        *one("materials", "e235-n", temp_max_c=100.0, yield_mpa=230.0),
        *one("neighbours", "metric/16", od_tolerance_mm=0.09),
    )
    report = report_on(small(changes), small())
    # The range of temperature is read by a setup check alone, the yield for a rating too: ten sizes
    # in two ring styles at two temperatures.
    named = ("neighbours", "materials.yield_mpa", "materials.temp_max_c")
    assert report.impact.not_replayed == named
    assert report.impact.totals.ratings_changed == 40
    assert report_on(small(), small()).impact.not_replayed == ()


def test_a_row_more_or_less_changes_all_its_cells() -> None:
    more = small((), row_like("materials", "e235-n", id="e235-b", names=()))
    by_hand = ("condition", "yield_mpa", "tensile_mpa", "seams", "temp_min_c", "temp_max_c")
    for report in (report_on(more, small()), report_on(small(), more)):
        assert report.impact.not_replayed == tuple(f"materials.{name}" for name in by_hand)
    beside = small((), row_like("neighbours", "metric/16", od_mm=16.5))
    assert report_on(beside, small()).impact.not_replayed == ("neighbours",)
