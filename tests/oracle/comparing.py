"""Field by field, what answers of an older commit say otherwise, grouped by place and change."""

import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, Final

import msgspec

from tests.oracle.answering import QUESTIONS, answer_of
from tests.oracle.held import template

ROOT: Final = Path(__file__).parents[2]
NAMES: Final = ("name", "code", "id", "at", "method", "of", "press")
"""What tells one part of a list from another, where a part has it."""


@dataclass
class Otherwise:
    """A change in one place: how many answers have it, and the first of them."""

    kind: str
    number: int
    was: Any
    now: Any
    questions: set[tuple[str, int]] = field(default_factory=set)


@contextmanager
def older(revision: str, places: range) -> Iterator[IO[bytes]]:
    """Answers of an older commit to the questions of today, one a line, by a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        git = ["git", "-C", str(ROOT), "worktree"]
        subprocess.run([*git, "add", "--detach", "--quiet", str(tree), revision], check=True)
        try:
            room = tree / "tests" / "oracle"
            shutil.rmtree(room, ignore_errors=True)
            shutil.copytree(ROOT / "tests" / "oracle", room)
            process = subprocess.Popen(
                [sys.executable, "-m", "tests.oracle", "--answers", f"--every={places.step}"],
                cwd=tree,
                env={**os.environ, "PYTHONPATH": str(tree)},
                stdout=subprocess.PIPE,
            )
            assert process.stdout is not None
            with process:
                yield process.stdout
        finally:
            subprocess.run([*git, "remove", "--force", str(tree)], check=True)


def changes_since(revision: str, places: range) -> dict[tuple[str, str], Otherwise]:
    """Every change since a commit, by its place and what was changed."""
    found: dict[tuple[str, str], Otherwise] = {}
    with older(revision, places) as lines:
        for kind, number in (QUESTIONS[place] for place in places):
            now = answer_of(kind, number)
            was = lines.readline().rstrip(b"\n")
            if not was:
                raise RuntimeError(f"{revision} does not answer {kind} {number}")
            if was == now:
                continue
            for place, what, one, other in differences(*map(msgspec.json.decode, (was, now))):
                change = found.setdefault((place, what), Otherwise(kind, number, one, other))
                change.questions.add((kind, number))
    return found


def differences(was: Any, now: Any, place: str = "") -> Iterator[tuple[str, str, Any, Any]]:
    """Place, what was changed, and both values of each difference.

    >>> list(differences({"a": [{"id": "x", "n": 1}]}, {"a": [{"id": "x", "n": 2}], "b": 0}))
    [('a[x].n', 'changed', 1, 2), ('b', 'added', None, 0)]
    """
    if isinstance(was, dict) and isinstance(now, dict):
        yield from _by_name(was, now, f"{place}." if place else "", "")
    elif isinstance(was, list) and isinstance(now, list):
        yield from _by_name(_named(was), _named(now), f"{place}[", "]")
    elif was != now or type(was) is not type(now):
        texts = isinstance(was, str) and isinstance(now, str)
        what = f"changed: {template(was)!r} -> {template(now)!r}" if texts else "changed"
        yield place, what, was, now


def _by_name(
    was: dict[str, Any], now: dict[str, Any], before: str, after: str
) -> Iterator[tuple[str, str, Any, Any]]:
    for name in [*was, *(each for each in now if each not in was)]:
        # Numbers alone tell nothing of a place: lines of a work order, pairs of words.
        at = before + ("" if name.isdigit() else name) + after
        if name not in now:
            yield at, "removed", was[name], None
        elif name not in was:
            yield at, "added", None, now[name]
        else:
            yield from differences(was[name], now[name], at)
    shared = [[each for each in one if each in two] for one, two in ((was, now), (now, was))]
    if shared[0] != shared[1]:
        yield before + after, "in another order", shared[0], shared[1]


def _named(parts: list[Any]) -> dict[str, Any]:
    """Parts by their names, a second one of a name by its number too."""
    named: dict[str, Any] = {}
    for number, part in enumerate(parts):
        own = part if isinstance(part, dict) else {}
        name = next((str(own[key]) for key in NAMES if key in own), str(number))
        if isinstance(part, str):
            name = part
        while name in named:
            name += "'"
        named[name] = part
    return named
