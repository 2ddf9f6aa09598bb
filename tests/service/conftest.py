"""One service for all tests that change nothing about it."""

from collections.abc import Iterator

import httpx
import pytest

from tests.service.serving import served


@pytest.fixture(scope="session")
def client() -> Iterator[httpx.Client]:
    with served() as serving:
        yield serving
