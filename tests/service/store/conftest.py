"""A store of each make, new and empty; another make is one more entry in `STORES`."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store

Opened = Callable[[], Store]


def _sqlite(folder: Path) -> Store:
    return open_store(folder, seed=None, at="2026-03-02T06:00:00Z")


STORES: dict[str, Callable[[Path], Store]] = {"sqlite": _sqlite}


@pytest.fixture(params=sorted(STORES))
def opened(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Opened]:
    """A way to open the same place again, as another process would."""
    stores: list[Store] = []

    def again() -> Store:
        stores.append(STORES[request.param](tmp_path / "place"))
        return stores[-1]

    yield again
    for store in stores:
        store.close()


@pytest.fixture
def store(opened: Opened) -> Store:
    """An empty store."""
    return opened()
