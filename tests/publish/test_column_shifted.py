"""A column that slid by a row: in a size, in a family, in a series, in the whole table."""

from collections.abc import Callable
from typing import Any

import pytest
from msgspec import structs

from catalog.rows import Target
from tests.publish.slips import CARBON_16, about, shifted, shipped, slipped, strong

Key = Callable[[Target], tuple[Any, ...]]


def tube(row: Target) -> tuple[Any, ...]:
    return (row.series, row.ring_style, row.family, row.grade or "")


def by_wall(row: Target) -> tuple[Any, ...]:
    return (row.od_mm, row.wall_min_mm, row.ring or "", row.insert)


def family(row: Target) -> tuple[Any, ...]:
    return tube(row)[:-1]


def by_wall_and_grade(row: Target) -> tuple[Any, ...]:
    return (row.od_mm, row.wall_min_mm, row.grade or "", row.ring or "", row.insert)


def series(row: Target) -> tuple[Any, ...]:
    return (row.series,)


def by_size(row: Target) -> tuple[Any, ...]:
    return (row.od_mm, row.wall_min_mm, *tube(row)[2:], row.ring_style, row.ring or "", row.insert)


BOTH = ("force_kn", "ceiling_kn")
FEW = 5
"""Doubts at most: an approver answers one by one, and 423 rows slid."""


@pytest.mark.parametrize("by", [1, -1])
@pytest.mark.parametrize("columns", [BOTH, ("force_kn",)])
@pytest.mark.parametrize(("run", "order"), [(tube, by_wall), (family, by_wall_and_grade)])
def test_the_whole_table(run: Key, order: Key, by: int, columns: tuple[str, ...]) -> None:
    found = strong(shifted(run, order, columns, by))
    told = [d for d in found if d.kind == "column-shifted" and d.column == "force_kn"]
    assert sum(len(d.rows) for d in told) == 423
    assert len(found) <= FEW


@pytest.mark.parametrize("by", [1, -1])
@pytest.mark.parametrize("name", ["L", "S"])
def test_one_series(name: str, by: int) -> None:
    found = strong(shifted(tube, by_wall, BOTH, by, lambda r: r.series == name))
    told = [d for d in found if d.kind == "column-shifted"]
    assert len(told) == 1
    assert {row.split("/")[1] for row in told[0].rows} == {name}
    assert len(found) <= FEW


def test_one_family_of_a_series() -> None:
    of = ("S", "metal", "carbon-steel", "")
    found = strong(shifted(tube, by_wall, BOTH, 1, lambda r: tube(r) == of))
    told = [d for d in found if d.kind == "column-shifted"]
    assert len(told) == 1
    assert len(told[0].rows) >= 24
    assert CARBON_16 in told[0].rows


@pytest.mark.parametrize("od_mm", [10.0, 16.0, 25.0, 38.0])
def test_one_size_of_a_table_kept_by_size(od_mm: float) -> None:
    bad = shifted(series, by_size, BOTH, 1, lambda r: r.series == "S" and r.od_mm == od_mm)
    found = strong(bad)
    assert any(d.kind == "column-shifted" for d in found)
    assert len(found) <= FEW


@pytest.mark.parametrize("by", [1, -1])
def test_a_ceiling_that_slid_alone(by: int) -> None:
    found = strong(shifted(tube, by_wall, ("ceiling_kn",), by))
    told = [d for d in found if d.kind == "column-shifted"]
    assert [d.column for d in told] == ["ceiling_kn"]
    assert not [d for d in found if d.column == "force_kn"]


def test_a_tolerance_that_slid_alone() -> None:
    # Only the first row of 14 S and of 15 L shows it: 10 % where its size has 8 %.
    found = strong(shifted(tube, by_wall, ("tolerance_percent",)))
    assert [(d.kind, d.column) for d in found] == [("column-shifted", "tolerance_percent")]


def test_a_slip_beneath_a_slide_is_still_seen() -> None:
    slid = shifted(tube, by_wall, BOTH, 1, lambda r: r.series == "S")
    row = next(r for r in slid.tables["targets"] if r.ref == CARBON_16)
    bad_rows = {"force_kn": 10 * row.force_kn, "ceiling_kn": 10 * row.ceiling_kn}  # type: ignore[union-attr]
    tables = dict(slid.tables)
    tables["targets"] = tuple(
        structs.replace(r, **bad_rows) if r.ref == CARBON_16 else r for r in tables["targets"]
    )
    found = strong(structs.replace(slid, tables=tables))
    assert any(d.kind == "column-shifted" for d in found)
    assert any(d.kind == "ten-times" for d in found)


def test_against_the_revision_before_a_slide_is_exact() -> None:
    bad = slipped("sizes", lambda r: r.series == "S", lambda r: {"nut_hex_mm": _before(r.ref)})
    found = strong(bad, shipped())
    assert about(found, "sizes/S/16", "nut_hex_mm") == ["column-shifted"]


def _before(ref: str) -> float:
    rows = [r for r in shipped().tables["sizes"] if r.ref.startswith("sizes/S/")]
    at = [r.ref for r in rows].index(ref)
    return float(rows[max(0, at - 1)].nut_hex_mm)  # type: ignore[union-attr]
