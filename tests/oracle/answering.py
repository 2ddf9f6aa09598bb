"""Answers of the library to the drawn questions, and the three digests that are kept of each."""

import json
from collections.abc import Callable
from datetime import date
from functools import cache
from hashlib import blake2b
from typing import Any, Final, NamedTuple

import msgspec
from msgspec import structs

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.questions import (
    PressTargetQuestion,
    Received,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from catalog.revision import revision_of
from catalog.rows import AnyRow, Gauge, Press, Ring, Size, Source, Target
from catalog.standing import Standing, State, Withdrawn
from tests.oracle.drawing import DAY, SHIPPED, Draw, Facts, question_of

KINDS: Final[dict[str, tuple[Callable[..., Any], Any]]] = {
    "press target": (press_target, PressTargetQuestion),
    "setup check": (setup_check, SetupCheckQuestion),
    "tooling pick": (tooling_pick, ToolingPickQuestion),
    "tube rating": (tube_rating, TubeRatingQuestion),
}
EACH: Final = 20_000
"""Questions of each kind; those of `tooling pick` have 1 to 60 lines."""
QUESTIONS: Final = [(kind, number) for kind in KINDS for number in range(EACH)]
FILES: Final = ("answers", "words", "working")
WORDS: Final = {"message", "headline", "remedy", "reason", "do", "text", "scope"}
WORKING: Final = {"working", "workings"}
BYTES: Final = 8
WHY: Final = Withdrawn(reason="read from the wrong page", by="office-2", on="2026-03-02")


class Parted(NamedTuple):
    """An answer in three parts: what it says, the words that it says it in, its working."""

    answers: Any
    words: list[list[str]]
    working: list[Any]


class Asked(NamedTuple):
    """A question as it was asked, with what stands beside it."""

    question: Facts
    world: str
    standing: Standing
    received: Received | None


@cache
def _index(world: str) -> Index:
    """The shipped tables; or `odd`: of trusted sources, with other forces and limits."""
    if world == "shipped":
        return compile_revision(SHIPPED)
    tables = {name: [_odd(row) for row in rows] for name, rows in SHIPPED.tables.items()}
    return compile_revision(revision_of({**tables, "cases": []}))


def _odd(row: AnyRow) -> AnyRow:
    if isinstance(row, Source):
        return structs.replace(row, grade="standard")
    if isinstance(row, Target):
        forces = {"force_kn": row.force_kn * 1.037, "ceiling_kn": row.ceiling_kn * 1.041}
        return structs.replace(row, **{name: round(f, 4) for name, f in forces.items()})
    if isinstance(row, Press):
        oil = 19 if row.id == "press-a" else row.usable_oil_cm3
        return structs.replace(row, friction_percent=1.3, usable_oil_cm3=oil)
    if isinstance(row, Gauge):
        return structs.replace(row, overload=row.span * 1.7)
    if isinstance(row, Ring) and row.seal_material:
        return structs.replace(row, seal_rated_pressure_bar=120)
    if isinstance(row, Size) and row.od_mm == 14:
        return structs.replace(row, rated_pressure_bar=None)
    return row


@cache
def _refs() -> list[str]:
    return [row.ref for rows in SHIPPED.tables.values() for row in rows]


def asked(kind: str, number: int) -> Asked:
    """What is asked under this number, the same in every process."""
    draw = Draw("beside", kind, number)
    states: tuple[State, ...] = ("superseded", "not-active-yet")
    rows: dict[str, Withdrawn] = {}
    if draw.chance(0.08):
        rows = {ref: WHY for ref in _refs() if draw.chance(0.02)}
    standing = Standing(
        state=draw.one(states) if draw.chance(0.06) else "active",
        whole=WHY if draw.chance(0.01) else None,
        rows=rows,
        stale=draw.chance(0.03),
    )
    received = None
    if draw.chance(0.5):
        received = Received(on=date.fromisoformat(draw.day()), fixed=draw.chance(0.3))
        if draw.chance(0.7):
            received = structs.replace(received, on=DAY)
    question = question_of(kind, number)
    world = "odd" if draw.chance(0.25) else "shipped"
    if standing.state != "active":
        question["revision"] = _index(world).revision
    return Asked(question, world, standing, received)


def answer_of(kind: str, number: int) -> bytes:
    """Answer to one of the questions, as it is sent."""
    asks = asked(kind, number)
    answer, form = KINDS[kind]
    index = structs.replace(_index(asks.world), standing=asks.standing)
    question = msgspec.convert(asks.question, form)
    return msgspec.json.encode(answer(index, question, received=asks.received))


def parted(answer: bytes) -> Parted:
    """The parts of an answer; the revision, which the tables alone decide, is in none."""
    words: list[list[str]] = []
    working: list[Any] = []

    def bare(part: Any) -> Any:
        if isinstance(part, list):
            return [bare(each) for each in part]
        if not isinstance(part, dict):
            return part
        kept = {}
        for name, value in part.items():
            if name in WORDS:
                words.append([name, value])
            elif name in WORKING:
                working.append(value)
            elif name != "revision":
                kept[name] = bare(value)
        return kept

    return Parted(bare(msgspec.json.decode(answer)), words, working)


def digests(answer: bytes) -> tuple[bytes, ...]:
    """Digest of each part of an answer; numbers by `repr`, fields in the order of the answer."""
    texts = (json.dumps(part, separators=(",", ":")) for part in parted(answer))
    return tuple(blake2b(text.encode(), digest_size=BYTES).digest() for text in texts)
