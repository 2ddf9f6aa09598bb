"""Questions as a shop asks them, drawn by a seed and the number of a round: all bodies differ.

Every end has a target row and a wall that the tube standard of its grade lists.
"""

import random
from collections.abc import Callable, Collection, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import islice
from typing import Any, NamedTuple

import msgspec
from msgspec import UNSET

from catalog.answers.press_target import press_target
from catalog.index import Index
from catalog.quantities import FACTOR, size_key
from catalog.questions import PressTargetQuestion, SetupCheckQuestion
from catalog.revision import rows_of
from catalog.rows import Material, Target, Tube
from catalog.seed import shipped_index, shipped_revision

SEED = 16
PROGRAMME = 300
"""Combinations of end, press and gauge that a shop presses again and again."""
FAULTY = 0.15
LINES = 1000
Question = dict[str, Any]
End = tuple[Target, float, str]
"""Row of the targets, wall in mm, grade."""
Combination = tuple[End, str, str]
"""End, press, gauge."""


class Mix(NamedTuple):
    """Questions of one kind; `bodies(n)` are those of round `n`, and `n` below 0 warms up."""

    name: str
    path: str
    bodies: Callable[[int], list[bytes]]
    picks: int = 0


@cache
def index() -> Index:
    """The shipped tables."""
    return shipped_index()


@cache
def ends() -> tuple[End, ...]:
    """Every end that a row is for."""
    revision = shipped_revision()
    tubes, own = rows_of(revision, Tube), index().graded
    return tuple(
        (row, tube.wall_mm, grade.id)
        for row in rows_of(revision, Target)
        for grade in rows_of(revision, Material)
        if grade.preset and grade.family == row.family
        # A grade with rows of its own takes no row of its family.
        if row.grade == (grade.id if (row.series, row.ring_style, grade.id) in own else None)
        for tube in tubes
        if tube.standard == grade.standard
        and size_key(tube.od_mm) == size_key(row.od_mm)
        and size_key(row.wall_min_mm) <= size_key(tube.wall_mm) <= size_key(row.wall_max_mm)
    )


@cache
def combinations() -> tuple[Combination, ...]:
    """Every end with every press and gauge, shuffled so that each row comes before any again."""
    draw = drawn("combinations", 0)
    pairs = [(press.id, gauge.id) for press, gauge in index().pairs]
    of_row: dict[str, list[Combination]] = {}
    for end in ends():
        of_row.setdefault(end[0].ref, []).extend((end, *pair) for pair in pairs)
    placed = [
        ((n, draw.random()), combination)
        for each in of_row.values()
        for n, combination in enumerate(draw.sample(each, len(each)))
    ]
    return tuple(combination for _, combination in sorted(placed, key=lambda each: each[0]))


@cache
def pressed() -> tuple[Combination, ...]:
    """The shop's programme: what can be pressed."""
    draw = drawn("pressed", 0)
    every = draw.sample(combinations(), len(combinations()))
    can = (each for each in every if _reading(target_question(draw, each)))
    return tuple(islice(can, PROGRAMME))


@cache
def others() -> tuple[Combination, ...]:
    """Combinations that are not of the programme."""
    ours = set(pressed())
    return tuple(each for each in combinations() if each not in ours)


def programme(n: int) -> list[bytes]:
    """The shop's combinations; references, days and tool states differ."""
    draw = drawn("programme", n)
    asked = draw.sample(pressed(), PROGRAMME)
    return [_encoded(target_question(draw, each)) for each in asked]


def never_seen(n: int) -> list[bytes]:
    """Combinations that were not asked before, by and by every row."""
    draw = drawn("never seen", n)
    return [_encoded(target_question(draw, each)) for each in unseen(n, 0)]


def distinct(n: int) -> list[bytes]:
    """Combinations that were not asked before, in any unit, on other days, some of them faulty."""
    draw = drawn("distinct", n)
    return [_encoded(_distinct(draw, each)) for each in unseen(n, 1)]


def setup_checks(n: int) -> list[bytes]:
    """Whole setups, every fact stated: half of the programme, whose targets were asked before."""
    draw = drawn("setup checks", n)
    asked = draw.sample(pressed(), PROGRAMME // 2)
    return [_encoded(setup_question(draw, each)) for each in asked]


def picks(detail: str) -> Callable[[int], list[bytes]]:
    """Work orders in which half of the lines are to be rated."""

    def bodies(n: int) -> list[bytes]:
        draw = drawn(f"{detail} picks", n)
        ours = [draw.choice(ends()) for _ in range(LINES)]
        lines = [_line(draw, end) for end in ours]
        return [_encoded({"items": lines, "on": _day(draw, 1), "detail": detail})]

    return bodies


MIXES: Sequence[Mix] = (
    Mix("press target, programme", "/v1/press-targets", programme),
    Mix("press target, never seen", "/v1/press-targets", never_seen),
    Mix("press target, distinct", "/v1/press-targets", distinct),
    Mix("setup check", "/v1/setup-checks", setup_checks),
    Mix("tooling picks, brief", "/v1/tooling-picks", picks("brief"), LINES),
    Mix("tooling picks, full", "/v1/tooling-picks", picks("full"), LINES),
)


def drawn(what: str, n: int) -> random.Random:
    """Draw of one round of one mix."""
    return random.Random(f"{SEED} {what} {n}")  # noqa: S311 - a benchmark, not a secret


def today() -> date:
    """Day of the service."""
    return datetime.now(UTC).date()


def target_question(draw: random.Random, of: Combination) -> Question:
    """Press target of a combination, in full."""
    (row, wall_mm, grade), press, gauge = of
    return {
        "tube": {
            "od": _mm(row.od_mm),
            "wall": _mm(wall_mm),
            "material": grade,
            **({"insert": "fitted"} if row.insert == "fitted" else {}),
        },
        "fitting": {
            "series": row.series,
            "ring_style": row.ring_style,
            "ring_material": row.family,
            **({} if row.ring is None else {"ring": row.ring}),
        },
        "press": press,
        "gauge": gauge,
        "on": _day(draw, 1),
        "tool_state": {
            "cone_uses_since_check": draw.randrange(20),
            "gauge_calibration_due": str(today() + timedelta(draw.randint(40, 700))),
            "gauge_zero_checked": True,
        },
        "detail": "full",
        "client_ref": f"order {draw.randrange(10**9)}",
    }


def setup_question(draw: random.Random, of: Combination) -> Question:
    """Setup check of a combination, in full, every fact stated and most of them right."""
    (row, _, _), _, _ = of
    asked = target_question(draw, of)
    reading = _reading(asked)
    od_mm, series = size_key(row.od_mm), index().series[row.series]
    cone = index().cones_of_size[row.series, od_mm][0].id
    plate = index().plates_of_size[series.system, od_mm][0].id
    asked["tube"] |= {
        "measured_od": _mm(round(row.od_mm + draw.uniform(-0.02, 0.02), 3)),
        "seam": "seamless",
        "coating": "none",
        "bend": "none",
    }
    asked["fitting"] |= {
        "ring_condition": "new",
        "ring_source": "store 4",
        "nut_source": "store 4",
        "other_end": "same",
    }
    return asked | {
        "service": _service(draw),
        "tooling": {"cone": cone, "plate": plate},
        **reading,
        "preparation": {
            "cut_method": "toothed-saw",
            "out_of_square": {"value": round(draw.uniform(0, 1.1), 2), "unit": "deg"},
            "deburred_inside": True,
            "deburred_outside": True,
            "cleaned": True,
            "lubricated": [] if row.ring_style == "elastomer-sealed" else ["ring", "cone"],
            "ring_edge_towards": "tube-end",
            "nut_thread_towards": "tube-end",
            "tube_bottomed": True,
        },
    }


def _reading(asked: Question) -> Question:
    """What somebody who asked for the target first states of the reading; nothing where none is."""
    target = press_target(index(), msgspec.convert(asked, PressTargetQuestion)).target
    if target is not UNSET and target.dial is not UNSET:
        return {"intended_reading": msgspec.to_builtins(target.dial.stop_at)}
    if target is not UNSET and target.expected_reading is not UNSET:
        return {"contact_reading": msgspec.to_builtins(target.expected_reading)}
    return {}


def _service(draw: random.Random) -> Question:
    pressure = draw.randint(40, 160)
    return {
        "working_pressure": {"value": pressure, "unit": "bar"},
        "peak_pressure": {"value": pressure + draw.randint(0, 40), "unit": "bar"},
        "temperature": {"value": draw.randint(20, 90), "unit": "degC"},
        "least_temperature": {"value": draw.randint(-15, 15), "unit": "degC"},
        "pulsating": draw.random() < 0.3,
        "fluid": "mineral-oil",
    }


def _line(draw: random.Random, end: End) -> Question:
    asked = target_question(draw, (end, "", ""))
    line = {name: asked[name] for name in ("tube", "fitting", "client_ref")}
    rated = {"service": _service(draw)} if draw.random() < 0.5 else {}
    return {**line, **rated, "quantity": draw.randint(1, 40)}


def _distinct(draw: random.Random, of: Combination) -> Question:
    asked = target_question(draw, of)
    for name in ("od", "wall"):
        if draw.random() < 0.5:
            inches = round(asked["tube"][name]["value"] / FACTOR["in"], 7)
            asked["tube"][name] = {"value": inches, "unit": "in"}
    asked["answer_in"] = {
        "length": draw.choice(("mm", "in")),
        "pressure": draw.choice(("bar", "MPa", "psi")),
        "force": draw.choice(("kN", "lbf")),
    }
    asked["on"] = _day(draw, 3)
    if draw.random() < FAULTY:
        draw.choice(_FAULTS)(asked)
    return asked


_FAULTS: Sequence[Callable[[Question], object]] = (
    lambda asked: asked["tube"].pop("wall"),
    lambda asked: asked["fitting"].pop("ring_style"),
    lambda asked: asked.pop("gauge"),
    lambda asked: asked["tube"].update(material="e999"),
    lambda asked: asked["tube"].update(od=_mm(17.3)),
    lambda asked: asked["tube"].update(wall=_mm(0.2)),
    lambda asked: asked["tube"].update(hardness={"value": 99, "scale": "HRB"}),
    lambda asked: asked["tool_state"].update(gauge_calibration_due="2026-01-31"),
    lambda asked: asked.update(press="press-z"),
)


def unseen(n: int, of_two: int) -> Sequence[Combination]:
    """As many combinations as the programme has, which neither it nor another round asks."""
    half = others()[of_two::2]
    at = n % (len(half) // PROGRAMME) * PROGRAMME
    return half[at : at + PROGRAMME]


def _day(draw: random.Random, most: int) -> str:
    return str(today() + timedelta(draw.randint(-most, most)))


def _mm(value: float) -> Question:
    return {"value": value, "unit": "mm"}


def _encoded(question: Question) -> bytes:
    return msgspec.json.encode(question)


def setups(count: int, without_mm: Collection[float]) -> list[SetupCheckQuestion]:
    """Setup checks of the programme as the library takes them, none of some sizes."""
    draw = drawn("setups", 0)
    asked = [of for of in pressed() if of[0][0].od_mm not in without_mm][:count]
    return [msgspec.convert(setup_question(draw, of), SetupCheckQuestion) for of in asked]
