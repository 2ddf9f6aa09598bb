"""A blob that is not what was stored is refused and named; what does not rest on it answers."""

from contextlib import closing
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.refusals import StoreDamagedError
from service.store.verifying import verified
from tests.service.store.office import SHIPPED, at, propose, publish, small
from tests.service.store.raw import unguarded

ONE, TWO = small(1).id, small(2).id


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "own"
    with closing(open_store(place, seed=SHIPPED, at=at(0))) as store:
        publish(store, small(1))
    return place


def _blobs_of(folder: Path, statement: str, *values: object) -> None:
    with unguarded(folder) as connection:
        assert connection.execute(statement, values).rowcount == 1


@pytest.mark.parametrize("table", ["targets", "sources"])
def test_a_table_with_a_flipped_byte_is_refused_and_named(folder: Path, table: str) -> None:
    address = small(1).manifest.tables[table]
    with unguarded(folder) as connection:
        asked = "SELECT content FROM blobs WHERE digest = ?"
        content = bytearray(connection.execute(asked, (address,)).fetchone()[0])
        content[len(content) // 2] ^= 1
        change = "UPDATE blobs SET content = ? WHERE digest = ?"
        connection.execute(change, (bytes(content), address))
    name = f"table `{table}` of revision `{ONE}` (`{address}`) is not what was stored"
    with closing(open_store(folder, seed=SHIPPED, at=at(0))) as store, store.reading() as records:
        with pytest.raises(StoreDamagedError) as refused:
            records.revision(ONE)
        assert name in str(refused.value)
        assert str(folder / "ringwright.sqlite") in str(refused.value)
        (told,) = [fault for fault in verified(records) if ONE in fault]
        assert name in told
        # Shared tables are damaged in every revision that has them, the others answer.
        stored = records.revision(SHIPPED.id) if table == "targets" else None
        assert table == "sources" or (stored is not None and stored.manifest == SHIPPED.manifest)


def test_damaged_tables_are_not_shared_with_a_new_revision(folder: Path) -> None:
    address = small(1).manifest.tables["sources"]
    _blobs_of(folder, "UPDATE blobs SET content = x'00' WHERE digest = ?", address)
    with closing(open_store(folder, seed=None, at=at(0))) as store:
        with pytest.raises(StoreDamagedError, match="table `sources`"):
            propose(store, small(2))
        with store.reading() as records:
            assert records.revision(TWO) is None


@pytest.mark.parametrize(
    "address", [pytest.param(ONE, id="list of tables"), small(1).manifest.tables["targets"]]
)
def test_a_missing_blob_is_refused_and_named(folder: Path, address: str) -> None:
    _blobs_of(folder, "DELETE FROM blobs WHERE digest = ?", address)
    with closing(open_store(folder, seed=None, at=at(0))) as store, store.reading() as records:
        with pytest.raises(StoreDamagedError, match=rf"{ONE}.*`{address}`\) is missing"):
            records.revision(ONE)
        assert any(f"(`{address}`) is missing" in fault for fault in verified(records))


@pytest.mark.parametrize(
    "statement",
    ["UPDATE blobs SET content = x'00' WHERE digest = ?", "DELETE FROM blobs WHERE digest = ?"],
)
def test_a_damaged_report_is_refused(folder: Path, statement: str) -> None:
    with closing(open_store(folder, seed=None, at=at(0))) as store:
        with store.reading() as records:
            ((address),) = [report.digest for report in records.reports()]
        _blobs_of(folder, statement, address)
        with store.reading() as records:
            with pytest.raises(StoreDamagedError, match=address):
                records.report(address)
            assert any(address in fault for fault in verified(records))
