"""Changes that a review tried on the shipped tables, and what stands in the way of each.

Doubts and own cases are those of the shipped tables. What the replay counts is told of the small
shop, whose rows are the same but for their grades: there each number can be counted by hand.
"""

from typing import Any

import pytest
from msgspec import Struct, structs

from catalog.differences import differences
from catalog.publishing import refusals_of
from catalog.publishing.reviewing import doubts_on
from catalog.revision import Revision, revision_of
from catalog.rows import AnyRow
from catalog.seed import shipped_revision
from tests.catalog.impact.small import impact_between, one, small
from tests.catalog.synthetic import Changes, changed

SHIPPED = shipped_revision()
INVENTED = one("sources", "demo", grade="demonstration")
BENCH = "metric-24-degree/0.1"
SEALED = "ring-S-elastomer-sealed-carbon-steel"
ALREADY = doubts_on(SHIPPED, SHIPPED, ())


class Change(Struct, frozen=True, kw_only=True):
    """What an office sends, whether an own case refuses it first, and what a report says of it."""

    changes: Changes = ()
    more: tuple[AnyRow, ...] = ()
    own_case: bool = False
    strong: tuple[str, ...] = ()
    counts: dict[str, int] = {}


def like(ref: str, **columns: Any) -> AnyRow:
    """A new row, like one of the shipped tables."""
    (row,) = (row for row in SHIPPED.tables[ref.partition("/")[0]] if row.ref == ref)
    return structs.replace(row, **columns)


def of_all(table: str, start: str, **columns: Any) -> Changes:
    """A change of every row whose name begins so; without columns they go."""
    told = tuple(columns.items()) or None
    found = (row.ref.partition("/")[2] for row in SHIPPED.tables[table])
    return tuple((table, ref, told) for ref in found if ref.startswith(start))


def sent(to: Revision, change: Change) -> Revision:
    """Revision with the rows of a change that it has."""
    tables = {table: list(rows) for table, rows in to.tables.items()}
    there = {row.ref for rows in tables.values() for row in rows}
    mine = tuple(each for each in change.changes if f"{each[0]}/{each[1]}" in there)
    tables = changed(tables, mine)
    for row in change.more:
        tables[row.table].append(row)
    return revision_of(tables)


OFFICE = like("sources/demo", id="shop-2026", grade="memory", note="entered by the office")
CHANGES: dict[str, Change] = {
    # 16 mm has 5 walls x 2 ring styles, of carbon steel at 2 temperatures, stainless at 4.
    "rating of S 16 from 400 to 500 bar": Change(
        changes=one("sizes", "S/16", rated_pressure_bar=500.0), counts={"ratings_changed": 80}
    ),
    # 10 sizes x 2 styles x 2 temperatures; a tenth is no slip by itself.
    "yield of a carbon grade by a tenth": Change(
        changes=one("materials", "e235-n", yield_mpa=258.0),
        strong=("not-replayed:materials:yield_mpa",),
        counts={"ratings_changed": 40},
    ),
    # 9 sizes x 2 styles x 4 temperatures.
    "yield of a stainless grade from 190 to 210": Change(
        changes=one("materials", "en-1.4571", yield_mpa=210.0),
        strong=("not-replayed:materials:yield_mpa",),
        counts={"ratings_changed": 108},
    ),
    # 12 x 1 x 2 styles, with an insert and without, on 4 pairs: no target of the small shop has it.
    "insert limit of 12 mm": Change(
        changes=one("inserts", "carbon-steel/12", needed_below_mm=1.0),
        own_case=True,
        counts={"refused_otherwise": 16},
    ),
    "tolerance of a neighbour": Change(
        changes=one("neighbours", "inch/15.875", od_tolerance_mm=0.01),
        strong=(
            "not-replayed:neighbours:od_tolerance_mm",
            "unit-slip:neighbours/inch/15.875-of-od_mm:od_tolerance_mm",
        ),
    ),
    "neighbour gone": Change(
        changes=(("neighbours", "inch/15.875", None),), strong=("rows-gone:neighbours:",)
    ),
    # The 7 targets on press-b have wider windows; two of them on press-c lack a mark, and no more
    # a window.
    "class of a gauge": Change(
        changes=one("gauges", "gauge-b", class_percent=0.6),
        own_case=True,
        strong=("changed:gauges/gauge-b:class_percent",),
        counts={"target_changed": 7, "refused_otherwise": 2},
    ),
    "out of square": Change(
        changes=one("preparation", BENCH, out_of_square_max_deg=2.0),
        strong=(
            f"changed:preparation/{BENCH}:out_of_square_max_deg",
            "not-replayed:preparation:out_of_square_max_deg",
        ),
    ),
    "text of a caution": Change(
        changes=one("cautions", "tube.near-size", remedy="press on"),
        strong=("not-replayed:cautions:remedy",),
    ),
    "presses between the checks of a cone": Change(
        changes=one("cones", "cone-S-16", presses_between_checks_carbon_steel=500),
        strong=(
            "not-replayed:cones:presses_between_checks_carbon_steel",
            "relation:cones/cone-S-16:presses_between_checks_carbon_steel",
        ),
    ),
    "temperature of a seal": Change(
        changes=one("rings", SEALED, seal_temp_max_c=150.0),
        strong=(f"changed:rings/{SEALED}:seal_temp_max_c", "not-replayed:rings:seal_temp_max_c"),
    ),
    # 5 walls x 2 grades x 2 styles, with an insert and without, on 4 pairs.
    "new cone": Change(
        more=(
            like(
                "cones/cone-S-16",
                id="cone-S-16-b",
                rated_force_kn=81.0,
                presses_between_checks_carbon_steel=100,
                presses_between_checks_stainless_steel=100,
                presses_between_checks_nickel_copper=100,
            ),
        ),
        strong=("not-replayed:cones:",),
        counts={"tooling_changed": 160},
    ),
    # All that a plate says is replayed.
    "new plate": Change(
        more=(like("plates/plate-metric-16", id="plate-16-b", rated_force_kn=150.0),),
        counts={"tooling_changed": 160},
    ),
    # 7 targets on 4 pairs, of which 16 can be pressed; all else there is invented, or standard.
    "targets to a new source": Change(
        changes=of_all("targets", "", source="shop-2026"),
        more=(OFFICE,),
        strong=("grade-raised:demo..shop-2026:source",),
        counts={"cautions_changed": 16, "refused_otherwise": 12},
    ),
    # Every question of 19 sizes x 2 styles x 2 x 4 pairs names its gauge.
    "gauges to a source that is trusted": Change(
        changes=(
            *of_all("gauges", "", source="own-wording"),
            *one("sources", "own-wording", note="read by office-1"),
        ),
        strong=("grade-raised:demo..own-wording:source",),
        counts={"grounds_changed": 304},
    ),
    "tubes of a near size": Change(
        changes=of_all("tubes", "astm-a269/15.875/"),
        strong=("rows-gone:near-size/stainless-steel:",),
    ),
    # The row is read for every question, and limits nothing of a press target.
    "only preparation of a system": Change(
        changes=(("preparation", BENCH, None),),
        strong=("rows-gone:preparation/metric-24-degree:",),
        counts={"grounds_changed": 304},
    ),
    "own case gone": Change(
        changes=(("cases", "16s-press-b-gauge-b", None),), strong=("rows-gone:cases:",)
    ),
    # 16 x 2 in 2 styles at 2 temperatures: the least wall counts for the yield and the pulsating.
    "wall tolerance of 16 x 2": Change(
        changes=one("tubes", "en-10305-4/16/2", wall_under_percent=0.0),
        strong=("out-of-band:tubes/en-10305-4/16/2:wall_under_percent",),
        counts={"ratings_changed": 4},
    ),
}


@pytest.mark.parametrize("name", CHANGES)
def test_what_a_report_says_of_it(name: str) -> None:
    change = CHANGES[name]
    revision = sent(SHIPPED, change)
    refused = {refusal.rule for refusal in refusals_of(revision, SHIPPED)}
    assert refused == ({"own-case"} if change.own_case else set())
    doubts = doubts_on(revision, SHIPPED, differences(SHIPPED, revision))
    # What is doubtful in the shipped tables themselves is not of the change.
    assert tuple(d.id for d in doubts if d.weight == "strong" and d not in ALREADY) == change.strong
    before = small(INVENTED)
    totals = structs.asdict(impact_between(before, sent(before, change)).totals)
    asked_of = {"questions", "ratings"}
    assert {n: count for n, count in totals.items() if count and n not in asked_of} == change.counts


def test_without_a_change_nothing_is_said() -> None:
    assert differences(SHIPPED, SHIPPED) == ()
    assert impact_between(small(INVENTED), small(INVENTED)).changes == ()
