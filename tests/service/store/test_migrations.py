"""The schema by numbered steps: from any earlier version, never half, never a foreign file."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from filelock import FileLock

from service.store.sqlite import open_store, opening
from service.store.sqlite.opening import FILE, connect, prepared, version_now
from service.store.sqlite.refusals import StoreDamagedError, StoreError
from service.store.sqlite.schema import APPLICATION_ID, MIGRATIONS
from tests.service.store.office import SHIPPED, at, everything, small
from tests.service.store.raw import raw

LATER = (*MIGRATIONS, ("CREATE TABLE later (n INTEGER PRIMARY KEY) STRICT",))


def _head(folder: Path) -> tuple[int, int]:
    with raw(folder) as connection:
        ((application,),) = connection.execute("PRAGMA application_id")
        ((version,),) = connection.execute("PRAGMA user_version")
    return application, version


def test_a_new_file_carries_our_mark_and_version(tmp_path: Path) -> None:
    file = prepared(tmp_path)
    assert _head(tmp_path) == (APPLICATION_ID, len(MIGRATIONS))
    with closing(connect(file)) as connection:
        settings = {
            name: connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "synchronous", "foreign_keys", "recursive_triggers")
        }
    # 2 is FULL: a commit is on the disk before it is acknowledged.
    assert settings == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "recursive_triggers": 1,
    }


def test_a_file_that_another_process_makes_meanwhile_is_read_at_one_moment(tmp_path: Path) -> None:
    file = tmp_path / FILE
    with closing(connect(file)) as maker, closing(connect(file)) as reader:
        maker.execute("PRAGMA journal_mode = WAL")
        maker.execute("BEGIN IMMEDIATE")
        for statement in (each for step in MIGRATIONS for each in step):
            maker.execute(statement)
        maker.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        maker.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")

        def between(statement: str) -> None:
            if "user_version" in statement and maker.in_transaction:
                maker.execute("COMMIT")

        reader.set_trace_callback(between)
        assert version_now(reader, file, len(MIGRATIONS)) == 0
        assert not maker.in_transaction
        assert version_now(reader, file, len(MIGRATIONS)) == len(MIGRATIONS)


def test_an_earlier_version_is_brought_up_and_keeps_what_it_holds(tmp_path: Path) -> None:
    store = open_store(tmp_path, seed=SHIPPED, at=at(0))
    with store.reading() as records:
        before = list(everything(records))
    prepared(tmp_path, LATER)
    prepared(tmp_path, LATER)
    assert _head(tmp_path) == (APPLICATION_ID, len(LATER))
    # A process of the version before that is still running goes on.
    with store.reading() as records:
        assert list(everything(records)) == before
    store.close()


def test_a_later_version_is_refused(tmp_path: Path) -> None:
    prepared(tmp_path, LATER)
    before = (tmp_path / FILE).read_bytes()
    with pytest.raises(StoreError, match=r"has version 2 of the schema, .* knows up to 1: start"):
        open_store(tmp_path, seed=SHIPPED, at=at(0))
    assert (tmp_path / FILE).read_bytes() == before


@pytest.mark.parametrize(
    "statement",
    ["CREATE TABLE recipes (name TEXT)", "PRAGMA application_id = 7", "PRAGMA user_version = 1"],
)
def test_a_file_of_another_application_is_refused(tmp_path: Path, statement: str) -> None:
    with raw(tmp_path) as connection:
        connection.execute(statement)
    before = (tmp_path / FILE).read_bytes()
    with pytest.raises(StoreError, match="is not a store of this service: name another folder"):
        open_store(tmp_path, seed=SHIPPED, at=at(0))
    assert (tmp_path / FILE).read_bytes() == before


def test_what_is_no_database_is_refused(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text("od_mm,wall_mm\n" * 400)
    with pytest.raises(StoreDamagedError, match=f"{FILE}` is damaged, file is not a database"):
        open_store(tmp_path, seed=SHIPPED, at=at(0))
    assert (tmp_path / FILE).read_text() == "od_mm,wall_mm\n" * 400


def test_a_step_that_fails_leaves_the_version_before(tmp_path: Path) -> None:
    store = open_store(tmp_path, seed=small(1), at=at(0))
    failing = (*LATER, ("CREATE TABLE half (n INTEGER)", "CREATE TABLE half (n INTEGER)"))
    with pytest.raises(StoreError, match="already exists"):
        prepared(tmp_path, failing)
    assert _head(tmp_path) == (APPLICATION_ID, len(MIGRATIONS))
    with raw(tmp_path) as connection:
        asked = "SELECT name FROM sqlite_schema WHERE name IN ('half', 'later')"
        assert connection.execute(asked).fetchall() == []
    with store.reading() as records:
        assert records.revisions() == (small(1).id,)
    store.close()


def test_a_start_that_hangs_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "_LOCK_S", 0.05)
    with (
        FileLock(tmp_path / "ringwright.lock"),
        pytest.raises(StoreError, match=r"another start has held .*ringwright.lock` for more than"),
    ):
        open_store(tmp_path, seed=SHIPPED, at=at(0))


def test_a_start_needs_the_lock_only_where_there_is_something_to_do(tmp_path: Path) -> None:
    open_store(tmp_path, seed=SHIPPED, at=at(0)).close()
    with FileLock(tmp_path / "ringwright.lock"):
        open_store(tmp_path, seed=SHIPPED, at=at(1)).close()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreError, match="cannot be written"):
        open_store(tmp_path / "file", seed=SHIPPED, at=at(0))


def test_pages_that_do_not_fit_are_refused_at_the_start(tmp_path: Path) -> None:
    open_store(tmp_path, seed=SHIPPED, at=at(0)).close()
    with sqlite3.connect(tmp_path / FILE) as connection:
        asked = "SELECT rootpage FROM sqlite_schema WHERE name = 'audit_action_record'"
        ((page,),) = connection.execute(asked)
        ((size,),) = connection.execute("PRAGMA page_size")
    connection.close()
    with (tmp_path / FILE).open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(bytes(size))
    with pytest.raises(StoreDamagedError, match=r"is damaged, .*put back a sound one"):
        open_store(tmp_path, seed=None, at=at(0))
