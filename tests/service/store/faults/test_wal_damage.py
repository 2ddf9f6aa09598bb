"""Files cut or flipped at random: an earlier commit or a refusal, never a wrong table.

A damaged log stands for a loss of power in which the disk had not kept what it said it had; a
damaged file for a bad disk.
"""

import random
import shutil
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.opening import FILE
from tests.service.store.faults.damage import WAL, Truth, WrittenBack, damage, outcome, truth
from tests.service.store.office import at, small

pytestmark = pytest.mark.apart

TIMES = 100


def _outcomes(truth: Truth, folder: Path, name: str, seed: int) -> Counter[str]:
    told: Counter[str] = Counter()
    chance = random.Random(seed)  # noqa: S311
    for _ in range(TIMES):
        place = shutil.copytree(truth.folder, folder / "damaged")
        done = damage(place / name, chance)
        try:
            told[outcome(place, truth)] += 1
        except Exception as error:
            error.add_note(f"{name}: {done}")
            raise
        shutil.rmtree(place)
    return told


@pytest.mark.parametrize("written_back", ["nothing", "half", "everything"])
def test_a_damaged_log(tmp_path: Path, written_back: WrittenBack) -> None:
    stored = truth(tmp_path, written_back)
    assert outcome(shutil.copytree(stored.folder, tmp_path / "sound"), stored) == "all"
    told = _outcomes(stored, tmp_path, WAL, seed=11)
    if written_back == "nothing":
        # The log is all there is: SQLite takes what is sound up to the damage.
        assert told["earlier"] > TIMES / 2
    else:
        # Pages of an earlier day over those of a later one: a mixture, which must not be answered.
        assert told["refused"] > 0


@pytest.mark.parametrize("written_back", ["nothing", "half", "everything"])
def test_a_lost_log(tmp_path: Path, written_back: WrittenBack) -> None:
    stored = truth(tmp_path, written_back)
    (stored.folder / WAL).unlink()
    # Half a checkpoint writes only the pages that did not change again later: a mixture.
    wanted = {"nothing": "earlier", "half": "refused", "everything": "all"}
    assert outcome(stored.folder, stored) == wanted[written_back]


def test_a_damaged_file(tmp_path: Path) -> None:
    stored = truth(tmp_path, "nothing")
    open_store(stored.folder, seed=None, at=at(0)).close()  # writes the log back
    assert not (stored.folder / WAL).exists()
    told = _outcomes(stored, tmp_path, FILE, seed=12)
    assert told["earlier"] == 0
    assert told["refused"] > TIMES / 2


def test_a_file_of_no_bytes_is_a_new_store_and_tells_no_table(tmp_path: Path) -> None:
    (tmp_path / FILE).touch()
    store = open_store(tmp_path, seed=small(1), at=at(0))
    with closing(store), store.reading() as records:
        assert records.revisions() == (small(1).id,)
