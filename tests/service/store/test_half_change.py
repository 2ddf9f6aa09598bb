"""A step that fails half way spoils its whole change, whatever the caller makes of the error."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.changing import Change
from service.store.sqlite.keeping import Store
from service.store.sqlite.opening import FILE, connect
from service.store.sqlite.refusals import StoreError
from service.store.verifying import verified
from tests.service.store.office import SHIPPED, at, everything, key, small
from tests.service.store.raw import raw


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with closing(open_store(tmp_path, seed=small(1), at=at(0))) as opened:
        yield opened


def test_a_record_without_its_audit_entry_is_not_kept(tmp_path: Path, store: Store) -> None:
    with raw(tmp_path) as connection:
        refuse = "BEFORE INSERT ON audit BEGIN SELECT RAISE(ABORT, 'no trail today'); END"
        connection.execute(f"CREATE TRIGGER fault {refuse}")
    refused = pytest.raises(StoreError, match="nothing of it was stored")
    with refused, store.changing() as change, suppress(ValueError):
        change.add(key(1))
    with raw(tmp_path) as connection:
        connection.execute("DROP TRIGGER fault")
    with store.reading() as records:
        assert records.keys() == ()
        assert verified(records) == ()


def test_what_comes_after_a_full_disk_is_not_kept_on_its_own(tmp_path: Path, store: Store) -> None:
    with store.reading() as records:
        before = list(everything(records))
    with closing(connect(tmp_path / FILE)) as connection:
        _let_grow(connection, pages=12)
        connection.execute("BEGIN IMMEDIATE")
        change = Change(connection, tmp_path / FILE)
        with pytest.raises(StoreError, match="no room left"):
            change.add_tables(SHIPPED)
        _let_grow(connection, pages=1000)
        with pytest.raises(StoreError, match="repeat all of it"):
            change.add(key(1))
        with pytest.raises(StoreError, match="repeat all of it"):
            change.whole()
    with store.reading() as records:
        assert list(everything(records)) == before


def _let_grow(connection: sqlite3.Connection, *, pages: int) -> None:
    ((now,),) = connection.execute("PRAGMA page_count").fetchall()
    connection.execute(f"PRAGMA max_page_count = {now + pages}")
