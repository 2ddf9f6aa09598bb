"""The replay asks each small shop a question once: most of them stand beside the same one."""

from collections.abc import Iterator

import pytest

from catalog.impact import comparing
from tests.catalog.impact.small import once


@pytest.fixture(autouse=True, scope="module")
def asked_once() -> Iterator[None]:
    """What is compared stays what the shops answer; tests hold it against answers of their own."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("answers_of", "rated_at"):
            patch.setattr(comparing, name, once(getattr(comparing, name)))
        yield
