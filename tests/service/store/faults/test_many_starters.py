"""Several processes start on a new folder at the same time: all start, on one seed."""

from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.verifying import verified
from tests.service.store.faults.children import child, hear, say
from tests.service.store.office import SHIPPED, at

pytestmark = pytest.mark.apart

STARTERS, FOLDERS = 6, 12


def test_all_start_on_one_seed(tmp_path: Path) -> None:
    with ExitStack() as stack:
        starters = [stack.enter_context(child("racer")) for _ in range(STARTERS)]
        assert [hear(starter) for starter in starters] == ["ready"] * STARTERS
        for number in range(FOLDERS):
            for starter in starters:
                say(starter, f"open {tmp_path / str(number)}")
            assert {hear(starter) for starter in starters} == {SHIPPED.id}
    for number in range(FOLDERS):
        store = open_store(tmp_path / str(number), seed=None, at=at(0))
        with closing(store), store.reading() as records:
            assert [entry.action for entry in records.audit()] == ["propose", "activate"]
            assert verified(records) == ()
