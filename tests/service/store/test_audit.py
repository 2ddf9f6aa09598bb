"""Tampering past the guards, with every kind of row: it is found, and named."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from shutil import copytree

import pytest
from msgspec import structs

from service.store.chain import FIRST_PREVIOUS, entry_hash, entry_of
from service.store.records import KINDS, AnyRecord
from service.store.sqlite import open_store
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreDamagedError
from service.store.verifying import verified
from tests.service.store.office import at, live_a_year
from tests.service.store.raw import unguarded

OTHER = "sha256:" + 64 * "3"


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("year") / "store"
    with closing(open_store(folder, seed=None, at=at(0))) as store:
        live_a_year(store)
    return folder


@pytest.fixture
def folder(year: Path, tmp_path: Path) -> Path:
    return copytree(year, tmp_path / "store")


def _found(folder: Path, head: str | None = None) -> tuple[str, ...]:
    store = open_store(folder, seed=None, at=at(0))
    with closing(store), store.reading(checked=False) as records:
        return verified(records, head)


def _refused(folder: Path) -> set[str]:
    """Verbs that refuse to answer from a store that was tampered with."""
    refused = set()
    with closing(open_store(folder, seed=None, at=at(0))) as store, store.reading() as records:
        for verb in ("audit", *VERBS.values(), "last_activation"):
            try:
                getattr(records, verb)()
            except StoreDamagedError as error:
                assert "put back a sound one" in str(error)  # noqa: PT017
                refused.add(verb)
    return refused


VERBS = {
    "proposals": "proposals",
    "reports": "reports",
    "approvals": "approvals",
    "activations": "activations",
    "withdrawals": "withdrawals",
    "keys": "keys",
    "key_revocations": "revocations",
}
NAME = {kind.table: kind.noun for kind in KINDS}
LAST = {
    "proposals": 3,
    "reports": 3,
    "approvals": 3,
    "activations": 4,
    "withdrawals": 2,
    "keys": 2,
    "key_revocations": 1,
}
_LISTS = {"acknowledged": "[]", "scopes": '["activate"]'}
_LATER = "2026-03-02T23:59:59Z"
_NEW = {"at": _LATER, "expires_at": _LATER, "approval": 1}
CELLS = [
    (kind.table, column) for kind in KINDS for column in kind.__struct_fields__ if column != "n"
]


def test_an_honest_year_has_no_fault(year: Path) -> None:
    assert _found(year) == ()
    assert _refused(year) == set()


@pytest.mark.parametrize(("table", "column"), CELLS)
def test_a_cell_that_was_changed_is_found(folder: Path, table: str, column: str) -> None:
    new = {**_LISTS, **_NEW}.get(column, OTHER)
    last = LAST[table]
    with unguarded(folder) as connection:
        asked = f'UPDATE {table} SET "{column}" = ? WHERE n = ?'  # noqa: S608
        assert connection.execute(asked, (new, last)).rowcount == 1
    found = _found(folder)
    assert any(f.startswith(f"{NAME[table]} {last} is not what audit entry ") for f in found)
    assert VERBS[table] in _refused(folder)


@pytest.mark.parametrize("table", VERBS)
def test_a_row_that_was_deleted_is_found(folder: Path, table: str) -> None:
    for number in sorted({1, LAST[table]}):
        place = copytree(folder, folder.with_name(f"{table}{number}"))
        with unguarded(place) as connection:
            connection.execute(f"DELETE FROM {table} WHERE n = ?", (number,))  # noqa: S608
        assert any(
            f.startswith(f"{NAME[table]} {number}, of which audit entry ")
            and f.endswith("is missing")
            for f in _found(place)
        )
        assert VERBS[table] in _refused(place)


@pytest.mark.parametrize("table", VERBS)
def test_a_row_that_was_added_is_found(folder: Path, table: str) -> None:
    following = LAST[table] + 1
    with unguarded(folder) as connection:
        columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        values = dict.fromkeys(columns)
        found = connection.execute(f"SELECT * FROM {table} ORDER BY n DESC").fetchone()  # noqa: S608
        values |= dict(zip(columns, found, strict=True)) | {"n": following}
        for once in {"proposals": ["revision"], "keys": ["id"]}.get(table, []):
            values[once] = OTHER
        marks = ", ".join("?" * len(columns))
        connection.execute(f"INSERT INTO {table} VALUES ({marks})", tuple(values.values()))  # noqa: S608
    assert f"{NAME[table]} {following} has no audit entry" in _found(folder)
    assert VERBS[table] in _refused(folder)


@pytest.mark.parametrize(
    ("column", "new"),
    [
        ("at", "2026-03-02T23:59:59Z"),
        ("by", "nobody"),
        ("action", "activate"),
        ("subject", OTHER),
        ("note", "quite another"),
        ("record", OTHER),
        ("previous", OTHER),
        ("hash", OTHER),
    ],
)
def test_an_entry_that_was_changed_is_found(folder: Path, column: str, new: str) -> None:
    with unguarded(folder) as connection:
        connection.execute(f"UPDATE audit SET {column} = ? WHERE n = 5", (new,))  # noqa: S608
    found = _found(folder)
    assert "audit entry 5 was changed: its hash does not fit" in found
    chain = "audit entry {} does not follow the one before it: the chain is broken"
    broken = {"previous": [5], "hash": [6]}.get(column, [])
    assert [f for f in found if "chain" in f] == [chain.format(n) for n in broken]
    assert "audit" in _refused(folder)


def test_an_entry_that_was_cut_out_is_found(folder: Path) -> None:
    with unguarded(folder) as connection:
        connection.execute("DELETE FROM audit WHERE n IN (5, 6)")
    found = _found(folder)
    assert "audit entry 5 to 6 are missing" in found
    assert "audit entry 7 does not follow the one before it: the chain is broken" in found
    assert "proposal 3 has no audit entry" in found
    assert {"audit", "proposals", "reports"} <= _refused(folder)


def test_the_first_entry_has_a_beginning(folder: Path) -> None:
    with unguarded(folder) as connection:
        _write_again(connection, first_previous=OTHER)
    assert _found(folder) == (
        "audit entry 1 does not follow the one before it: the chain is broken",
    )


def test_steps_cut_off_the_end_are_found_by_a_head_kept_elsewhere(folder: Path) -> None:
    with closing(open_store(folder, seed=None, at=at(0))) as store, store.reading() as records:
        heads = [entry.hash for entry in records.audit()]
    assert _found(folder, head=heads[-1]) == ()
    with unguarded(folder) as connection:
        connection.execute("DELETE FROM audit WHERE n = 18")
        connection.execute("DELETE FROM key_revocations")
    assert _found(folder) == ()
    assert _found(folder, head=heads[-2]) == ()
    assert _found(folder, head=heads[-1]) == (
        f"no audit entry has the hash `{heads[-1]}`: steps were cut off, or changed",
    )


def test_a_chain_written_again_after_tampering_is_found_by_a_head_alone(folder: Path) -> None:
    with closing(open_store(folder, seed=None, at=at(0))) as store, store.reading() as records:
        head = records.audit()[-1].hash
    with unguarded(folder) as connection:
        connection.execute("UPDATE approvals SET \"by\" = 'office c' WHERE n = 2")
        _write_again(connection)
    assert _found(folder) == ()
    assert _found(folder, head=head) == (
        f"no audit entry has the hash `{head}`: steps were cut off, or changed",
    )


def test_an_entry_that_lies_about_its_record_is_found(folder: Path) -> None:
    with unguarded(folder) as connection:
        _write_again(connection, by="somebody else")
    assert _found(folder)[0] == "audit entry 1 does not tell what proposal 1 says"


def _write_again(
    connection: sqlite3.Connection, first_previous: str = FIRST_PREVIOUS, by: str | None = None
) -> None:
    """Reckon the whole chain anew, as one would who knows how; `by` is what all of it then says."""
    records = Records(connection, Path("raw"), checked=False)
    kept: dict[str, Iterator[AnyRecord]] = {
        kind.action: iter(getattr(records, VERBS[kind.table])()) for kind in KINDS
    }
    anew, previous = [], first_previous
    for entry in records.audit():
        told = entry_of(next(kept[entry.action]), n=entry.n, previous=previous)
        if by is not None:
            told = structs.replace(told, by=by)
            told = structs.replace(told, hash=entry_hash(told))
        anew.append(structs.astuple(told))
        previous = told.hash
    connection.execute("DELETE FROM audit")
    connection.executemany("INSERT INTO audit VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", anew)
