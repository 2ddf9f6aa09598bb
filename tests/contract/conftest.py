"""A service on a store of its own, to attack."""

from collections.abc import Iterator

import pytest

from tests.contract.attack import Attacked, attacked

collect_ignore_glob = ["clients/*_client.py", "clients/*_models.py"]
"""Clients import what is generated from the contract."""


@pytest.fixture(scope="session")
def target(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Attacked]:
    with attacked(tmp_path_factory.mktemp("attacked") / "store") as running:
        yield running
