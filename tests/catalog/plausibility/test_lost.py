"""Checks of other rows that go with rows that are gone."""

import pytest
from msgspec import structs

from catalog.plausibility import Doubt
from catalog.plausibility.lost import lost_doubts
from catalog.revision import Revision, revision_of, rows_of
from catalog.rows import AnyRow, Neighbour
from tests.publish.slips import shipped


def without(table: str, *starts: str) -> Revision:
    """The shipped tables without the rows that begin so."""

    def goes(row: AnyRow) -> bool:
        return any(row.ref.startswith(f"{table}/{start}") for start in starts)

    rows = shipped().tables[table]
    assert any(goes(row) for row in rows)
    return revision_of({**shipped().tables, table: [row for row in rows if not goes(row)]})


def lost(revision: Revision) -> tuple[Doubt, ...]:
    return tuple(lost_doubts(revision, shipped()))


def test_a_near_size_that_goes_with_its_tubes_is_strong() -> None:
    # 15.875 and 16 mm are 0.125 apart: a269 allows 0.13 and the neighbour's row 0.1016, and a tube
    # of 16 mm may be 0.1 off, so the bands met, and met farther than the neighbour's row knows.
    (doubt,) = lost(without("tubes", "astm-a269/15.875/"))
    assert (doubt.id, doubt.weight) == ("rows-gone:near-size/stainless-steel:", "strong")
    assert "15.875 mm beside 16 mm" in doubt.message
    assert doubt.rows[0].startswith("tubes/astm-a269/15.875/")


@pytest.mark.parametrize(
    ("table", "starts"),
    [
        # One wall of several: the others have the same tolerance.
        ("tubes", ["astm-a269/15.875/3.4036"]),
        # No other size is near.
        ("tubes", ["en-10305-4/10/"]),
        ("tubes", ["en-10305-4/42/"]),
        # The neighbour's row reaches as far as the tubes of its standard did.
        ("tubes", ["sae-j525/15.875/", "sae-j526/15.875/", "sae-j524/15.875/"]),
    ],
)
def test_tubes_that_nothing_was_held_against_are_not(table: str, starts: list[str]) -> None:
    assert lost(without(table, *starts)) == ()


def test_nothing_is_lost_where_nothing_goes() -> None:
    assert lost(shipped()) == ()


def test_a_grade_that_goes_takes_the_near_sizes_of_its_standard_along() -> None:
    (doubt,) = lost(without("materials", "tp316l-a269"))
    assert "15.875 mm beside 16 mm" in doubt.message


def test_the_only_limits_of_a_system_are_strong() -> None:
    (doubt,) = lost(without("preparation", "metric-24-degree/"))
    assert (doubt.id, doubt.weight) == ("rows-gone:preparation/metric-24-degree:", "strong")
    sizes = [r for r in shipped().tables["sizes"] if not r.ref.startswith("sizes/flareless/")]
    assert f"{len(sizes)} of {len(sizes)} sizes" in doubt.message
    assert set(doubt.rows) == {size.ref for size in sizes}


def test_sizes_that_go_with_their_limits_are_not_told() -> None:
    gone = without("preparation", "inch-flareless/")
    sizes = [r for r in gone.tables["sizes"] if not r.ref.startswith("sizes/flareless/")]
    assert lost(revision_of({**gone.tables, "sizes": sizes})) == ()


def test_a_pipe_is_looked_out_for_outside_the_own_band_alone() -> None:
    pipe = next(row for row in rows_of(shipped(), Neighbour) if row.kind == "pipe")
    of_that_od = structs.replace(pipe, od_mm=15.875, od_tolerance_mm=1.0)
    gone = without("tubes", "astm-a269/15.875/")
    neighbours = [*gone.tables["neighbours"], of_that_od]
    assert len(lost(revision_of({**gone.tables, "neighbours": neighbours}))) == 1
