"""What two revisions answer alike is not asked again, and nothing is missed by that."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from msgspec import structs

from catalog.compiling import compile_revision
from catalog.impact import comparing, impact_of, with_rows_of
from catalog.impact.ends import ends_of, pairs_of
from catalog.index import Index
from catalog.revision import Revision, row_digest, rows_of, table_bytes, table_rows
from catalog.rows import Press
from catalog.seed import shipped_revision
from catalog.standing import Standing, Withdrawn
from tests.catalog.impact.small import END, NOTES, TARGET, one, row_like, small
from tests.catalog.impact.test_comparing import DOUBTFUL, REVISIONS
from tests.catalog.synthetic import Changes, changed

pytestmark = pytest.mark.apart

WHY = Withdrawn(reason="wrong", by="somebody", on="2026-03-02")


def apart(revision: Revision) -> Revision:
    """The same revision in rows of its own, as a store hands it out."""
    tables = {name: table_rows(name, table_bytes(rows)) for name, rows in revision.tables.items()}
    return structs.replace(revision, tables=tables)


def both_ways(
    before: Revision, after: Revision, withdrawn: tuple[str, ...] = (), mended: str = ""
) -> Iterator[tuple[Index, Index]]:
    """Two revisions that share no row, and the same two that share what says the same."""
    for now in (apart(after), with_rows_of(before, apart(after))):
        old, new = compile_revision(before), compile_revision(now)
        rows = dict.fromkeys(withdrawn, WHY)
        yield (
            structs.replace(old, standing=Standing(rows=rows)),
            structs.replace(
                new, standing=Standing(rows={ref: WHY for ref in rows if ref != mended})
            ),
        )


def assert_same(before: Revision, after: Revision, *standing: Any) -> None:
    whole, shared = both_ways(before, after, *standing)
    assert impact_of(*shared, ()) == impact_of(*whole, ())


@pytest.mark.parametrize("name", REVISIONS)
def test_the_impact_is_that_of_a_whole_replay(name: str) -> None:
    assert_same(small(), REVISIONS[name])


RESTING = one("targets", TARGET, source="our-notes")
"""The answers to one end rest on notes from memory."""


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ((), one("sources", "demo", grade="memory")),
        (RESTING, (*RESTING, *one("sources", "our-notes", grade="handbook"))),
        (DOUBTFUL, (*DOUBTFUL, *RESTING)),
        ((), one("sources", "demo", title="another")),
        ((), one("cautions", "gauge.too-coarse", remedy="take another")),
        ((), one("sizes", "S/16", designation="another")),
        ((), one("derating", "carbon-steel/120", factor=0.9)),
    ],
)
def test_so_it_is_for_sources_texts_and_ratings(before: Changes, after: Changes) -> None:
    assert_same(small(before), small(after))


CONE = "cones/cone-S-16"
OTHER_CONE = row_like("cones", "cone-S-16", id="cone-9", rated_force_kn=60.0)


@pytest.mark.parametrize(
    ("withdrawn", "mended"),
    [
        ((f"targets/{TARGET}",), ""),
        ((CONE,), ""),
        ((CONE,), CONE),
        # Not taken by any answer, and looked at by all of its size.
        (("cones/cone-9",), ""),
        (("cones/cone-9",), "cones/cone-9"),
        (("sources/demo",), ""),
        (("cautions/gauge.too-coarse",), "cautions/gauge.too-coarse"),
    ],
)
def test_so_it_is_beside_withdrawn_rows(withdrawn: tuple[str, ...], mended: str) -> None:
    before = small((), OTHER_CONE)
    after = small(one("targets", TARGET, force_kn=28.6), OTHER_CONE)
    assert_same(before, after, withdrawn, mended)
    # A cone among which the strongest was taken went, and was withdrawn.
    assert_same(before, small(), withdrawn, mended)


def test_so_it_is_on_the_shipped_tables() -> None:
    # One press with one gauge: the whole of both revisions is 65,000 answers.
    tables = {name: list(rows) for name, rows in shipped_revision().tables.items()}
    tables["presses"] = [
        structs.replace(row, gauges=("gauge-b",))
        for row in rows_of(shipped_revision(), Press)
        if row.id == "press-b"
    ]
    shipped = structs.replace(
        shipped_revision(), tables={name: tuple(rows) for name, rows in tables.items()}
    )
    moved = changed(tables, one("targets", TARGET, force_kn=28.6))
    after = structs.replace(shipped, tables={name: tuple(rows) for name, rows in moved.items()})
    assert_same(shipped, after)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    """Every question that a replay asks, and every rating."""
    found = []

    def noted(ask: Callable[..., Any]) -> Callable[..., Any]:
        def noting(index: Index, *question: Any) -> Any:
            found.append(question)
            return ask(index, *question)

        return noting

    for name in ("answers_of", "rated_at"):
        monkeypatch.setattr(comparing, name, noted(getattr(comparing, name)))
    return found


def test_only_what_may_have_changed_is_asked(asked: list[tuple[Any, ...]]) -> None:
    _, (before, after) = both_ways(small(), small(one("targets", TARGET, force_kn=28.6)))
    impact_of(before, after, ())
    # All walls of the size read the bands of this one; no limit of an assembly comes from it, but
    # their ratings are asked with them.
    assert {(end.od_mm, end.material, end.ring) for end, *_ in asked} == {
        (END.od_mm, END.material, END.ring)
    }


def test_nothing_is_asked_of_the_same_tables(asked: list[tuple[Any, ...]]) -> None:
    _, same = both_ways(small(), small(()))
    impact_of(*same, ())
    assert asked == []


def test_rows_that_share_nothing_are_asked_everything(asked: list[tuple[Any, ...]]) -> None:
    (before, after), _ = both_ways(small(), small(()))
    impact_of(before, after, ())
    pressed = [pairs for _, pairs in asked if isinstance(pairs, tuple)]
    assert len(pressed) == 2 * len(ends_of(before, after))
    assert all(list(pairs) == pairs_of(before, after) for pairs in pressed)


def test_a_row_is_shared_where_it_says_the_same_alone() -> None:
    after = apart(small(one("targets", TARGET, force_kn=28.6)))
    shared = with_rows_of(small(), after)
    for name, rows in shared.tables.items():
        old = {row.ref: row for row in small().tables[name]}
        assert [row_digest(row) for row in rows] == [row_digest(row) for row in after.tables[name]]
        for row in rows:
            assert (row is old[row.ref]) == (row.ref != f"targets/{TARGET}")
    assert NOTES in shared.tables["sources"]
