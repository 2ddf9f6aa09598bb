"""The same question on the same tables gives the same bytes, in any process and any row order.

Run as a module it prints a digest of each answer, with the tables in the order that its argument
seeds: the tests start it in processes with other hash seeds and compare.
"""

import hashlib
import os
import random
import subprocess
import sys
from functools import cache
from typing import Any

import msgspec
import pytest

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.answers.vocabulary import vocabulary
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.loading import csv_from_rows, rows_from_csv
from catalog.questions import (
    PressTargetQuestion,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from catalog.revision import revision_of
from catalog.rows import TABLES
from catalog.seed import shipped_revision
from tests.catalog.rules.single_faults import SINGLE_FAULTS
from tests.catalog.synthetic import CONTROL, asked

TUBE = {name: CONTROL["tube"][name] for name in ("od", "wall", "material")}
ITEM = {"tube": TUBE, "fitting": CONTROL["fitting"], "service": CONTROL["service"]}


def reordered(seed: int) -> Index:
    """Shipped tables, written to CSV with rows in another order and read again."""
    order = random.Random(seed)  # noqa: S311
    shipped = shipped_revision().tables
    tables = {}
    names = list(TABLES)
    order.shuffle(names)
    for name in names:
        rows = list(shipped[name])
        order.shuffle(rows)
        tables[name], bad = rows_from_csv(name, csv_from_rows(name, rows))
        assert bad == []
    return compile_revision(revision_of(tables))


def questions() -> list[Any]:
    setups = [CONTROL, {}, *(asked(CONTROL, dict(fault.set)) for fault in SINGLE_FAULTS)]
    items = [ITEM, asked(ITEM, {"/tube/od": "14 mm"}), asked(ITEM, {"/service/fluid": "out"})]
    ratings = [
        {"tube": TUBE, "methods": ["lame", "iso-10763"], "pressure": {"value": 20, "unit": "MPa"}},
        {"tube": {}},
    ]
    return [
        *(msgspec.convert(q, SetupCheckQuestion) for q in setups),
        *(
            msgspec.convert({k: i[k] for k in ("tube", "fitting")}, PressTargetQuestion)
            for i in items
        ),
        msgspec.convert({"items": items}, ToolingPickQuestion),
        *(msgspec.convert(q, TubeRatingQuestion) for q in ratings),
    ]


def answer(index: Index, question: Any) -> Any:
    if isinstance(question, SetupCheckQuestion):
        return setup_check(index, question)
    if isinstance(question, PressTargetQuestion):
        return press_target(index, question)
    if isinstance(question, ToolingPickQuestion):
        return tooling_pick(index, question)
    return tube_rating(index, question)


def digests(index: Index) -> list[str]:
    told = [msgspec.json.encode(answer(index, question)) for question in questions()]
    told.append(msgspec.json.encode(vocabulary(index)))
    return [hashlib.sha256(each).hexdigest() for each in told]


@cache
def here() -> tuple[str, ...]:
    return tuple(digests(compile_revision(shipped_revision())))


def test_the_answers_are_not_all_alike() -> None:
    assert len(set(here())) > len(SINGLE_FAULTS)


def test_asked_again_the_answer_is_the_same() -> None:
    assert tuple(digests(compile_revision(shipped_revision()))) == here()


@pytest.mark.parametrize("seed", [1, 2])
def test_reordered_tables_give_the_same_answers(seed: int) -> None:
    assert tuple(digests(reordered(seed))) == here()


@pytest.mark.parametrize(("hash_seed", "row_seed"), [("0", "3"), ("4242", "4")])
def test_another_process_gives_the_same_answers(hash_seed: str, row_seed: str) -> None:
    told = subprocess.run(
        [sys.executable, "-m", "tests.catalog.test_same_bytes", row_seed],
        env={**os.environ, "PYTHONHASHSEED": hash_seed},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.split()
    assert tuple(told) == here()


if __name__ == "__main__":
    sys.stdout.write("\n".join(digests(reordered(int(sys.argv[1])))))
