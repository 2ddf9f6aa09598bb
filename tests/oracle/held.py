"""The digests that are held, and which questions differ from them."""

import json
import re
from collections.abc import Iterable, Iterator
from itertools import chain
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final, get_args

from catalog.terms import Unit
from tests.oracle.answering import BYTES, EACH, FILES, KINDS, QUESTIONS, answer_of, digests, parted
from tests.oracle.drawing import SEED

HERE: Final = Path(__file__).parent
MANIFEST: Final = HERE / "manifest.json"
PROCESSES: Final = 2
SPAN: Final = 500
"""Questions that a process answers at a time."""
THINNED: Final = 20
_UNIT: Final = "|".join(get_args(Unit))
_VARYING: Final = re.compile(rf"`[^`]*`|[\w.+-]*\d[\w.+-]*( ({_UNIT})\b)?")
_CLAUSE: Final = re.compile("[:;,] ")


def held(file: str) -> bytes:
    """Digests of one part of every answer, in the order of `QUESTIONS`."""
    return (HERE / f"{file}.bin").read_bytes()


def manifest() -> dict[str, Any]:
    """Seed and counts that the digests are of, and the `firsts`."""
    told: dict[str, Any] = json.loads(MANIFEST.read_text(encoding="utf-8"))
    return told


def now(places: range) -> Iterator[tuple[tuple[bytes, ...], list[str]]]:
    """Digests of the answers of today, and what each says, in two processes."""
    spans = [places[at : at + SPAN] for at in range(0, len(places), SPAN)]
    with get_context("fork").Pool(PROCESSES) as pool:
        yield from chain.from_iterable(pool.imap(_answered, spans))


def _answered(span: range) -> list[tuple[tuple[bytes, ...], list[str]]]:
    return [(digests(answer), says(answer)) for answer in (answer_of(*QUESTIONS[n]) for n in span)]


def says(answer: bytes) -> list[str]:
    """Codes, sentences without their numbers, and names of steps of an answer."""
    parts = parted(answer)
    return [
        *(f"{name} {c}" for name, text in parts.words for c in _CLAUSE.split(template(text))),
        *(f"code {code}" for code in _named("code", parts.answers)),
        *(f"step {name}" for name in _named("name", parts.working)),
    ]


def template(text: str) -> str:
    """A sentence without what differs from one answer to the next: numbers, units, ids.

    >>> template("out of square by 1.6 deg, limit 1 deg: recut the end of `x`")
    'out of square by #, limit #: recut the end of #'
    """
    return _VARYING.sub("#", text)


def _named(name: str, part: Any) -> Iterator[str]:
    if isinstance(part, list):
        for each in part:
            yield from _named(name, each)
    elif isinstance(part, dict):
        if name in part:
            yield part[name]
        for each in part.values():
            yield from _named(name, each)


def thinned() -> list[int]:
    """Places of every twentieth question, and of the first to say anything."""
    return sorted({*range(0, len(QUESTIONS), THINNED), *manifest()["firsts"]})


def differing(places: Iterable[int], told: Iterable[tuple[bytes, ...]]) -> dict[str, list[int]]:
    """Places whose digest differs, by file."""
    files = {file: held(file) for file in FILES}
    wrong: dict[str, list[int]] = {file: [] for file in FILES}
    for place, each in zip(places, told, strict=True):
        for file, digest in zip(FILES, each, strict=True):
            if files[file][place * BYTES : (place + 1) * BYTES] != digest:
                wrong[file].append(place)
    return wrong


def write(which: str | None) -> None:
    """Renew the digests of one part, or of all; and always which questions are the firsts."""
    told: list[tuple[bytes, ...]] = []
    first: dict[str, int] = {}
    for place, (each, saying) in enumerate(now(range(len(QUESTIONS)))):
        told.append(each)
        for clause in saying:
            first.setdefault(clause, place)
    for n, file in enumerate(FILES):
        if which in {None, file}:
            (HERE / f"{file}.bin").write_bytes(b"".join(each[n] for each in told))
    firsts = sorted(set(first.values()))
    text = {"seed": SEED, "each": EACH, "kinds": [*KINDS], "clauses": len(first), "firsts": firsts}
    MANIFEST.write_text(json.dumps(text) + "\n", encoding="utf-8")
