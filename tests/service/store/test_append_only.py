"""Nothing that was stored is changed or deleted, with whatever tool: only the guards can fall."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.opening import FILE, connect
from service.store.verifying import verified
from tests.service.store.office import at, live_a_year
from tests.service.store.raw import raw, tables

TABLES = {
    "activations",
    "approvals",
    "audit",
    "blobs",
    "key_revocations",
    "keys",
    "proposals",
    "reports",
    "revisions",
    "withdrawals",
}


REFUSED = "the number is not the next|is there already"
"""Of two guards that both refuse, SQLite does not say which it asks first."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    place = tmp_path_factory.mktemp("append-only")
    with closing(open_store(place, seed=None, at=at(0))) as store:
        live_a_year(store)
        yield place


def _columns(connection: sqlite3.Connection, table: str) -> list[str]:
    return [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]


def _dump(connection: sqlite3.Connection) -> list[str]:
    return list(connection.iterdump())


def test_these_are_the_tables(folder: Path) -> None:
    with raw(folder) as connection:
        assert set(tables(connection)) == TABLES
        for table in TABLES:
            ((made,),) = connection.execute(
                "SELECT sql FROM sqlite_schema WHERE name = ?", (table,)
            )
            assert made.endswith("STRICT")
            assert connection.execute(f"SELECT count(*) FROM {table}").fetchone() > (0,)  # noqa: S608


@pytest.mark.parametrize("table", sorted(TABLES))
@pytest.mark.parametrize("ours", [True, False])
def test_no_row_is_changed_deleted_or_replaced(folder: Path, table: str, ours: bool) -> None:  # noqa: FBT001
    with closing(connect(folder / FILE)) if ours else raw(folder) as connection:
        before = _dump(connection)
        columns = _columns(connection, table)
        row = connection.execute(f"SELECT * FROM {table} LIMIT 1").fetchone()  # noqa: S608
        for column in columns:
            for verb in ("UPDATE", "UPDATE OR REPLACE", "UPDATE OR IGNORE"):
                with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                    connection.execute(f'{verb} {table} SET "{column}" = "{column}"')
        with pytest.raises(sqlite3.IntegrityError, match="never deleted"):
            connection.execute(f"DELETE FROM {table}")  # noqa: S608
        with pytest.raises(sqlite3.IntegrityError, match="never deleted"):
            connection.execute(f"DELETE FROM {table} WHERE n = 1")  # noqa: S608
        marks = ", ".join("?" * len(columns))
        ((following,),) = connection.execute(f"SELECT max(n) + 1 FROM {table}")  # noqa: S608
        for n in (row[0], None, 0, -1, following + 1):
            for verb in ("INSERT", "INSERT OR REPLACE", "INSERT OR IGNORE"):
                with pytest.raises(sqlite3.IntegrityError, match=REFUSED):
                    connection.execute(f"{verb} INTO {table} VALUES ({marks})", (n, *row[1:]))
        with pytest.raises(sqlite3.IntegrityError, match=REFUSED):
            connection.execute(
                f"INSERT INTO {table} VALUES ({marks})"  # noqa: S608
                " ON CONFLICT (n) DO UPDATE SET n = n + 1",
                row,
            )
        assert _dump(connection) == before


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("blobs", "digest"),
        ("revisions", "id"),
        ("proposals", "revision"),
        ("keys", "id"),
        ("audit", "previous"),
        ("audit", "hash"),
    ],
)
def test_what_stands_once_is_not_replaced(folder: Path, table: str, column: str) -> None:
    with raw(folder) as connection:
        before = _dump(connection)
        columns = _columns(connection, table)
        found = connection.execute(f"SELECT * FROM {table} ORDER BY n").fetchall()  # noqa: S608
        row = dict(zip(columns, found[-1], strict=True)) | {"n": len(found) + 1}
        if table == "audit":
            row |= {"previous": row["hash"], "hash": "sha256:" + 64 * "2"}
            row[column] = found[0][columns.index(column)]
        marks = ", ".join("?" * len(columns))
        for verb in ("INSERT OR REPLACE", "REPLACE", "INSERT OR IGNORE", "INSERT"):
            with pytest.raises(sqlite3.IntegrityError, match=f"{column} is there already"):
                connection.execute(f"{verb} INTO {table} VALUES ({marks})", tuple(row.values()))
        assert _dump(connection) == before


def test_a_guard_that_fell_is_found(tmp_path: Path) -> None:
    with closing(open_store(tmp_path, seed=None, at=at(0))) as store:
        with raw(tmp_path) as connection:
            connection.execute("DROP TRIGGER audit_not_changed")
            connection.execute("DROP INDEX audit_action_record")
            connection.execute("CREATE TABLE notes (text TEXT)")
        with store.reading() as records:
            assert verified(records) == (
                "the index `audit_action_record` is not as it was made",
                "the table `notes` is not as it was made",
                "the trigger `audit_not_changed` is not as it was made",
            )
