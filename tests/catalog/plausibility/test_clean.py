"""Tables that are as they should be raise no doubt, and every report is the same each time."""

import time

import pytest
from msgspec import structs

from catalog.plausibility import doubts_of
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, Target
from tests.publish.slips import CARBON_16, ref, shipped, slipped, times

pytestmark = pytest.mark.apart


def test_the_shipped_tables_raise_none_at_all() -> None:
    assert doubts_of(shipped()) == ()
    assert doubts_of(shipped(), shipped()) == ()


def test_empty_tables_raise_none() -> None:
    assert doubts_of(revision_of({})) == ()


@pytest.mark.parametrize("table", sorted(TABLES))
@pytest.mark.parametrize("left", [0, 1, 2])
def test_a_table_of_hardly_a_row_is_judged(table: str, left: int) -> None:
    few = {**shipped().tables, table: shipped().tables[table][:left]}
    assert all(d.message for d in doubts_of(revision_of(few), shipped()))


def test_the_order_of_the_rows_says_nothing() -> None:
    bad = slipped("targets", ref(CARBON_16), times(1.3, "force_kn", "ceiling_kn"))
    turned = revision_of({name: rows[::-1] for name, rows in bad.tables.items()})
    assert doubts_of(turned, shipped()) == doubts_of(bad, shipped())
    assert doubts_of(bad, shipped()) != ()


def test_strong_doubts_stand_first_and_no_two_share_an_id() -> None:
    bad = slipped(
        "targets", lambda r: r.od_mm > 20 and r.family == "carbon-steel", times(1.07, "force_kn")
    )
    found = doubts_of(bad, shipped())
    weights = [d.weight for d in found]
    assert weights == sorted(weights)
    assert {"strong", "weak"} >= set(weights)
    assert len({d.id for d in found}) == len(found)
    strong = [d.id for d in found if d.weight == "strong"]
    assert strong == sorted(strong)


def test_values_that_no_loader_lets_pass_do_not_stop_it() -> None:
    tables = dict(shipped().tables)
    tables["targets"] = tuple(
        structs.replace(r, force_kn=0.0, ceiling_kn=float("nan"))
        if isinstance(r, Target) and r.ref == CARBON_16
        else r
        for r in tables["targets"]
    )
    tables["gauges"] = tuple(structs.replace(r, graduation=0.0) for r in tables["gauges"])
    assert doubts_of(structs.replace(shipped(), tables=tables)) != ()


def test_twenty_thousand_targets_take_seconds() -> None:
    # 60 copies of the shipped series: 20,160 rows. Measured 4.5 s; a minute would be a fault.
    tables = dict(shipped().tables)
    targets, series = shipped().tables["targets"], shipped().tables["series"]
    tables["targets"] = tuple(
        structs.replace(r, series=f"{r.series}{n}")  # type: ignore[union-attr]
        for n in range(60)
        for r in targets
    )
    tables["series"] = tuple(
        structs.replace(r, id=f"{r.id}{n}")  # type: ignore[union-attr]
        for n in range(60)
        for r in series
    )
    many: Revision = structs.replace(shipped(), tables=tables)
    begun = time.process_time()
    assert doubts_of(many, many) == ()
    assert time.process_time() - begun < 60
