"""The running service of the edge's tests, for these too."""

from tests.service.conftest import client

__all__ = ["client"]
