"""Each fault in a copy of the tree, against the tests from the quickest on, until one fails.

The copy is asked by children of one process that has loaded pytest and nothing of ours.
"""

import os
import resource
import shutil
import sys
import tempfile
import traceback
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import Final, NamedTuple

import msgspec
import pytest
import yaml

from tests.mutation.mutants import ROOT, Mutant

LIMIT_S: Final = 300
LONG_S: Final = 1800
"""Processor time of a stage: a fault that makes it endless is found too."""
OURS: Final = ("catalog", "service", "tests")
NOT_COPIED: Final = (".git", ".venv", ".uv", "__pycache__", ".*_cache", ".hypothesis")
TOLD: Final = "told"
"""File beside the copy with what the last tests printed."""
ORACLE: Final = "the oracle"
OWN: Final = {
    "formulas": ("tests/catalog/formulas",),
    "bench": ("tests/catalog/rules",),
    "answers": ("tests/catalog/answers", "tests/service/test_vocabulary.py"),
    "publishing": (
        *("tests/catalog/publishing", "tests/service/pages/test_report.py"),
        "tests/publish",
    ),
}
"""Tests that are there for a room."""
OTHERS: Final = ("tests/catalog", "tests/publish", "tests/service/publishing", "tests/service/desk")
APART: Final = ("tests/catalog/answers", "tests/catalog/pairs", "tests/service/publishing")
"""Tests that need minutes, for what no other has found."""


class Outcome(NamedTuple):
    """What found a fault, empty where nothing did, and the processor time of the search."""

    by: str
    seconds: float


class Stage(NamedTuple):
    """Some tests: by pytest where there are `options`, else the oracle's share."""

    name: str
    options: tuple[str, ...] = ()
    limit_s: int = LIMIT_S


def stages(mutant: Mutant, *, quick: bool, oracle: bool) -> Iterator[Stage]:
    """Tests in the order in which a fault meets them; `quick` ends with those of its room."""
    if oracle:
        yield Stage(ORACLE)
    own = [test for test in OWN[mutant.room] if (ROOT / test).exists()]
    named = f"{own[0]}/test_{Path(mutant.file).stem}.py"
    first = [named] if (ROOT / named).exists() else []
    yield Stage("its own tests", (*first, *own, mutant.file))
    if not quick:
        yield Stage("other tests", OTHERS, LONG_S)
        yield Stage("tests apart", ("-m=apart", *APART), LONG_S)


@contextmanager
def copied() -> Iterator[Path]:
    """A copy of the tree, to be changed."""
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(*NOT_COPIED))
        yield tree


def tried(tree: Path, mutant: Mutant, number: int, some: Sequence[Stage]) -> Outcome:
    """What finds a fault, if anything does; the tree is as before afterwards."""
    file = tree / mutant.file
    before, times = file.read_bytes(), file.stat()
    file.write_bytes(mutant.source())
    # Python takes what it has compiled by the second and the length of the source.
    os.utime(file, (number, number))
    try:
        return found(tree, some)
    finally:
        file.write_bytes(before)
        os.utime(file, ns=(times.st_atime_ns, times.st_mtime_ns))


def search(
    some: Sequence[Mutant], *, quick: bool, oracle: bool
) -> Iterator[tuple[Mutant, Outcome]]:
    """Each fault with what found it.

    RuntimeError where what finds one finds something without any fault, with what it printed.
    """
    sound: set[tuple[str, str]] = set()
    with copied() as tree:
        for number, mutant in enumerate(some):
            each = [*stages(mutant, quick=quick, oracle=oracle)]
            outcome = tried(tree, mutant, number, each)
            if outcome.by and (mutant.room, outcome.by) not in sound:
                if found(tree, [stage for stage in each if stage.name == outcome.by]).by:
                    told = (tree.parent / TOLD).read_text(encoding="utf-8")[-3000:]
                    raise RuntimeError(f"{outcome.by} of {mutant.room} fail by themselves: {told}")
                sound.add((mutant.room, outcome.by))
            yield mutant, outcome


def found(tree: Path, some: Sequence[Stage]) -> Outcome:
    """The first of these tests that fails on a tree as it is."""
    spent = 0.0
    for stage in some:
        child = os.fork()
        if child == 0:
            _end(tree, stage)
        _, status, usage = os.wait4(child, 0)
        spent += usage.ru_utime + usage.ru_stime
        if status != 0:
            return Outcome(stage.name, spent)
    return Outcome("", spent)


def _end(tree: Path, stage: Stage) -> None:
    """Run some tests in this process and end it, with 0 where nothing fails."""
    code = 1
    try:
        resource.setrlimit(resource.RLIMIT_CPU, (stage.limit_s, stage.limit_s))
        _as_in(tree)
        code = int(pytest.main([*_OPTIONS, *stage.options])) if stage.options else _oracle()
    except BaseException:  # which a fault may raise as it is loaded
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        os._exit(code)


_OPTIONS: Final = ("-n0", "-x", "-q", "--hypothesis-seed=0", "-p", "no:cacheprovider")


def _as_in(tree: Path) -> None:
    """Make this process one that was started in a tree."""
    with (tree.parent / TOLD).open("w") as told:
        os.dup2(told.fileno(), 1)
        os.dup2(told.fileno(), 2)
    os.chdir(tree)
    for name in [name for name in sys.modules if name.partition(".")[0] in OURS]:
        del sys.modules[name]
    sys.path[:] = [str(tree), *(each for each in sys.path if each not in {"", str(ROOT)})]
    os.environ["PYTHONPATH"] = str(tree)
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = str(tree.parent / "bytecode")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    sys.dont_write_bytecode = False
    # INVARIANT: what is tried is the copy; else every fault would survive.
    for name in OURS:
        assert Path(import_module(name).__file__ or "").is_relative_to(tree)


def _oracle() -> int:
    """Whether the first to say anything, and a share of the others, are answered otherwise."""
    held, answering = (import_module(f"tests.oracle.{name}") for name in ("held", "answering"))
    places = sorted({*held.manifest()["firsts"], *range(0, len(answering.QUESTIONS), 200)})
    digests = (answering.digests(answering.answer_of(*answering.QUESTIONS[n])) for n in places)
    return int(any(held.differing(places, digests).values()))


LOADED: Final = (msgspec, pytest, yaml)
"""What every child finds loaded."""
