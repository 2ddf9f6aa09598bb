"""Several offices activate at the same time: one wins each number, the others are told so."""

from collections import Counter
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.verifying import verified
from tests.service.store.faults.children import child, hear, say
from tests.service.store.office import activate, at, propose, small

pytestmark = pytest.mark.apart

OFFICES, TRIES = 4, 40


def test_one_wins_each_number_and_the_others_lose_nothing(tmp_path: Path) -> None:
    with closing(open_store(tmp_path, seed=small(0), at=at(0))) as store:
        propose(store, small(1))
        activate(store, small(1).id, approval=None)
        with ExitStack() as stack:
            offices = [stack.enter_context(child("racer")) for _ in range(OFFICES)]
            assert [hear(office) for office in offices] == ["ready"] * OFFICES
            for number, office in enumerate(offices):
                say(office, f"activate {tmp_path} office-{number} {TRIES}")
            # A file that is locked, or any other fault, would end an office and not be heard.
            told = [[int(word) for word in hear(office).split()] for office in offices]
        assert [won + lost for won, lost in told] == [TRIES] * OFFICES
        assert sum(lost for _, lost in told) > 0, "they did not meet"
        with store.reading() as records:
            activations = records.activations(after=2)
            wins = Counter(each.by for each in activations)
            assert [wins[f"office-{n}"] for n in range(OFFICES)] == [won for won, _ in told]
            # Each rests on what its office had seen: the chain of `previous` has no fork.
            wrong = f"activation 2 is of revision `{small(1).id}`, never approved nor active before"
            assert verified(records) == (wrong,)
