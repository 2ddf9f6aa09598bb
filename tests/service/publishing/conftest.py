"""A shop whose store holds two sizes, and two proposals whose reports are made once for all."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec import Struct

from service.store.sqlite import open_store
from tests.service.publishing.here import make_reports_here
from tests.service.publishing.shop import AT, Shop, opened, proposed, seeded
from tests.service.publishing.tables import doubtful, revised, small


class Prepared(Struct, frozen=True):
    """A store at rest to copy: its folder, the keys, and the digests of both reports."""

    folder: Path
    keys: dict[str, str]
    revised: str
    doubtful: str


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    """Seeded, with keys, and with a revision proposed that is in order and one that is doubtful."""
    folder = tmp_path_factory.mktemp("office") / "store"
    keys = seeded(folder, small())
    store = open_store(folder, seed=None, at=AT)
    digests = proposed(store, revised()), proposed(store, doubtful())
    store.close()
    return Prepared(folder, keys, *digests)


@pytest.fixture(autouse=True)
def reports_here(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reports are made here, but in the walk of an office from its first step to its last."""
    if request.node.path.stem != "test_walk":
        make_reports_here(monkeypatch)


@pytest.fixture
def folder(prepared: Prepared, tmp_path: Path) -> Path:
    """A store of this test alone."""
    return Path(shutil.copytree(prepared.folder, tmp_path / "store"))


@pytest.fixture
def shop(prepared: Prepared, folder: Path) -> Iterator[Shop]:
    """The shop on a store of this test alone."""
    with opened(folder, prepared.keys) as opened_shop:
        yield opened_shop
