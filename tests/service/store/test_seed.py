"""The first start: the shipped tables become the first revision, once and for all."""

from pathlib import Path

from service.store.records import Activation, Proposal
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.verifying import verified
from tests.service.store.office import SHIPPED, at, everything, key, publish, small
from tests.service.store.raw import raw


def _told(store: Store) -> list[tuple[str, object]]:
    with store.reading() as records:
        assert verified(records) == ()
        told = list(everything(records))
    store.close()
    return told


def test_the_first_start_makes_the_shipped_tables_active(tmp_path: Path) -> None:
    store = open_store(tmp_path / "new" / "deep", seed=SHIPPED, at=at(0))
    with store.reading() as records:
        stored = records.revision(SHIPPED.id)
        assert stored is not None
        assert stored.manifest == SHIPPED.manifest
        assert records.proposals() == (
            Proposal(
                n=1,
                at=at(0),
                by="ringwright",
                revision=SHIPPED.id,
                base=None,
                note="shipped tables",
            ),
        )
        assert records.activations() == (
            Activation(
                n=1,
                at=at(0),
                by="ringwright",
                revision=SHIPPED.id,
                previous=None,
                approval=None,
                note="shipped tables",
            ),
        )
        assert [entry.action for entry in records.audit()] == ["propose", "activate"]
        assert verified(records) == ()
    store.close()


def test_the_first_start_is_one_change(tmp_path: Path) -> None:
    store = open_store(tmp_path, seed=None, at=at(0))
    before = store.version()
    other = open_store(tmp_path, seed=SHIPPED, at=at(1))
    # SQLite counts one commit a change in what `version` reads.
    assert store.version() == before + 1
    store.close()
    other.close()


def test_starting_again_changes_nothing(tmp_path: Path) -> None:
    first = _told(open_store(tmp_path, seed=SHIPPED, at=at(0)))
    assert _told(open_store(tmp_path, seed=SHIPPED, at=at(1))) == first
    assert _told(open_store(tmp_path, seed=None, at=at(1))) == first


def test_other_shipped_tables_are_not_activated_by_themselves(tmp_path: Path) -> None:
    first = _told(open_store(tmp_path, seed=small(1), at=at(0)))
    assert _told(open_store(tmp_path, seed=SHIPPED, at=at(1))) == first


def test_a_key_made_before_the_first_start_does_not_keep_the_seed_away(tmp_path: Path) -> None:
    store = open_store(tmp_path, seed=None, at=at(0))
    with store.changing() as change:
        change.add(key(1))
    store.close()
    store = open_store(tmp_path, seed=SHIPPED, at=at(1))
    with store.reading() as records:
        last = records.last_activation()
        assert last is not None
        assert last.revision == SHIPPED.id
        assert verified(records) == ()
    store.close()


def test_an_office_that_has_published_keeps_what_holds(tmp_path: Path) -> None:
    store = open_store(tmp_path, seed=SHIPPED, at=at(0))
    publish(store, small(1))
    before = _told(store)
    assert _told(open_store(tmp_path, seed=SHIPPED, at=at(9))) == before


def test_tables_that_did_not_change_are_kept_once(tmp_path: Path) -> None:
    store = open_store(tmp_path, seed=small(1), at=at(0))
    publish(store, small(2))
    store.close()
    # `small` differs in its targets alone: 18 tables, of which 16 are empty and so the same.
    with raw(tmp_path) as connection:
        asked = "SELECT count(*) FROM blobs WHERE digest NOT IN (SELECT digest FROM reports)"
        assert connection.execute(asked).fetchone() == (1 + 1 + 2 + 2,)
