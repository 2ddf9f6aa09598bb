"""What stands behind a row is known when the revision is compiled, and is what its columns name."""

import pytest

from catalog import provenance
from catalog.index import Index
from catalog.provenance import Provenance
from catalog.revision import rows_of
from catalog.rows import Source
from catalog.seed import shipped_revision
from tests.catalog.synthetic import shipped_with, synthetic_index


def test_every_row_has_the_sources_that_it_names_by_id() -> None:
    index = shipped_with()
    for rows in shipped_revision().tables.values():
        for row in rows:
            told = index.provenance.notes_of((row.sources,))
            assert [note.id for note in told] == sorted(row.sources)


def test_several_rows_have_each_source_once() -> None:
    index = shipped_with()
    rows = [row for rows in shipped_revision().tables.values() for row in rows]
    told = index.provenance.notes_of(row.sources for row in rows)
    assert [note.id for note in told] == sorted(index.sources)


@pytest.mark.parametrize("index", [shipped_with(), synthetic_index()])
def test_a_warned_of_source_is_one_of_that_grade(index: Index) -> None:
    known = index.provenance
    for source in index.sources.values():
        bits = known.bits[source.sources]
        assert bool(bits & known.memory) == (source.grade in {"memory", "secondary"})
        assert bool(bits & known.demonstration) == (source.grade == "demonstration")


def test_no_more_sets_are_remembered_than_are_allowed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(provenance, "_MOST_NOTED", 2)
    sources = rows_of(shipped_revision(), Source)[:4]
    known = Provenance.of(sources, ())
    for source in (*sources, *sources):
        assert [note.id for note in known.notes_of((source.sources,))] == [source.id]
        assert len(known.noted) <= 2
