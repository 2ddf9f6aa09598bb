"""Tables of a small shop, in which every change of an answer can be worked out by hand.

Two presses, three gauges, series S in 12 and 16 mm, E235+N and one stainless grade: rows of the
demonstration with every source raised to the grade `standard`, and two targets of the stainless
grade alone, so that a question stays a question that few rows decide.

    press-b  20 cm2, return 1 kN, no friction: 1 kN reads 5 bar     gauge-a and gauge-b
    press-c  50 cm2, return 2.5 kN, friction 2 %: 1 kN reads 2 bar  gauge-b and gauge-c
    gauge-a  600 bar, a mark every 10, class 1: 6 + 5 = 11 bar
    gauge-b  400 bar, a mark every 5, class 1: 4 + 2.5 = 6.5 bar
    gauge-c  160 bar, a mark every 1, class 0.6: 0.96 + 0.5 = 1.46 bar
"""

from collections.abc import Callable, Collection
from functools import cache
from typing import Any

from msgspec import structs

from catalog.compiling import compile_revision
from catalog.differences import differences
from catalog.impact import End, Impact, impact_of
from catalog.index import Index
from catalog.revision import Revision, revision_of
from catalog.rows import AnyRow, Source
from tests.catalog.synthetic import Changes, Tables, changed, standard_tables

TARGET = "S/16/1.9/2.1/carbon-steel/metal/none"
KEPT_TARGETS = {f"S/{band}/carbon-steel/metal/none" for band in ("12/1.4/1.6", "12/1.9/2.1")}
KEPT_TARGETS |= {TARGET, "S/16/2.4/2.6/carbon-steel/metal/none"}
KEPT_TARGETS |= {"S/16/1.9/2.1/carbon-steel/elastomer-sealed/none"}
KEPT_TARGETS |= {f"S/16/{band}/stainless-steel/metal/none" for band in ("1.9/2.1", "2.4/2.6")}
END = End(
    series="S",
    od_mm=16.0,
    wall_mm=2.0,
    material="e235-n",
    ring_style="metal",
    ring_material="carbon-steel",
    ring="ring-S-metal-carbon-steel",
    insert="none",
)
NOTES = Source(
    id="our-notes", title="notes", edition="", clause="", grade="memory", note="", errata=""
)
"""A source that nothing rests on until a test says so."""


def _kept(table: str, row: Any) -> bool:
    if table in {"sizes", "tubes", "cones", "plates"} and row.od_mm not in {12.0, 16.0}:
        return False
    if table in {"sizes", "rings", "cones"} and row.series != "S":
        return False
    keep: dict[str, Collection[str]] = {
        "materials": {"e235-n", "en-1.4571"},
        "series": {"S"},
        "presses": {"press-b", "press-c"},
        "gauges": {"gauge-a", "gauge-b", "gauge-c"},
        "targets": KEPT_TARGETS,
    }
    if table == "strengths":
        return row.material in keep["materials"]
    if table in {"plates", "preparation"}:
        return bool(row.system == "metric-24-degree")
    if table == "cases":
        return False
    return table not in keep or row.ref.partition("/")[2] in keep[table]


@cache
def _small() -> dict[str, tuple[AnyRow, ...]]:
    tables = {
        table: [row for row in rows if _kept(table, row)]
        for table, rows in standard_tables().items()
    }
    listed = (("press-b", ("gauge-a", "gauge-b")), ("press-c", ("gauge-b", "gauge-c")))
    tables = changed(
        tables, tuple(("presses", press, (("gauges", gauges),)) for press, gauges in listed)
    )
    tables["sources"].append(NOTES)
    return {table: tuple(rows) for table, rows in tables.items()}


@cache
def small(changes: Changes = (), *more: AnyRow) -> Revision:
    """Revision of the small shop, with some rows changed or dropped, and more of them."""
    tables: Tables = changed({table: list(rows) for table, rows in _small().items()}, changes)
    for row in more:
        tables[row.table].append(row)
    return revision_of(tables)


def row_like(table: str, ref: str, **columns: Any) -> AnyRow:
    """Another row, like one that is there."""
    (row,) = (row for row in _small()[table] if row.ref == f"{table}/{ref}")
    return structs.replace(row, **columns)


def one(table: str, ref: str, **columns: Any) -> Changes:
    """A change of one row."""
    return ((table, ref, tuple(columns.items())),)


def dropped(table: str, ref: str) -> Changes:
    """A row taken out."""
    return ((table, ref, None),)


INDEXES: dict[str, Index] = {}
"""Every shop that a test has compiled, by the id of its revision."""


def indexes(before: Revision, after: Revision) -> tuple[Index, Index]:
    """Both revisions compiled, each once for all tests."""
    for revision in (before, after):
        if revision.id not in INDEXES:
            INDEXES[revision.id] = compile_revision(revision)
    return INDEXES[before.id], INDEXES[after.id]


def once(ask: Callable[..., Any]) -> Callable[..., Any]:
    """A way to ask an index that asks those of `INDEXES` no question twice."""
    known: dict[tuple[Any, ...], Any] = {}

    def asked(index: Index, *question: Any) -> Any:
        if INDEXES.get(index.revision) is not index:
            return ask(index, *question)
        at = index.revision, *question
        if at not in known:
            known[at] = ask(index, *question)
        return known[at]

    return asked


def impact_between(before: Revision, after: Revision) -> Impact:
    """Impact of one revision after another, by the rows that differ."""
    return impact_of(
        *indexes(before, after), {change.table for change in differences(before, after)}
    )


def impact(after: Revision) -> Impact:
    """Impact of a revision after the small shop as it is."""
    return impact_between(small(), after)
