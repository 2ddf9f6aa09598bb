"""What an answer costs the service as it is deployed, beside echoes of the same size.

`uv run python -m tests.benchmarks.served` prints it, and fails at twice a recorded ratio; `--tree`
measures another source tree beside this one (FastAPI answers by this one). Processor time of the
server is read from the operating system, since the client shares the machine. Every body is new;
the servers take turns in every round, so that a neighbour meets all of them, and only ratios of one
round are compared.
"""

import sys
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, ExitStack
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from statistics import mean
from typing import Any

import msgspec
from msgspec import Struct

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.questions import (
    PressTargetQuestion,
    Received,
    SetupCheckQuestion,
    ToolingPickQuestion,
)
from tests.benchmarks.mixes import MIXES, SEED, Mix, index
from tests.benchmarks.recorded import verdict
from tests.benchmarks.servers import ROOT, Server, by_uvicorn, deployed, room_of, storing
from tests.benchmarks.table import OTHER, OURS, Figures, Options, add, median, options_of, show

RECORDED = {
    "press target, programme": 5.3,
    "press target, never seen": 5.2,
    "press target, distinct": 6.2,
    "setup check": 7.7,
    # A brief answer, and so the echo beside it, is a tenth of a full one; a pick costs what it did.
    "tooling picks, brief": 520,
    "tooling picks, full": 245,
    "ready, processor time": 1.46,
    "ready, resident": 1.24,
}
"""Ratios to the echo, on a machine that was busy with other work."""
WANTED = {
    "press target, programme": (1.5, 1.0),
    "press target, programme / FastAPI": (0.6, 0.4),
    "press target, never seen": (2.5, 2.0),
    "setup check": (4, 2),
    "tooling picks, brief, a second": (50_000, 80_000),
    "tooling picks, full, a second": (20_000, 25_000),
    "ready, processor s": (0.9, 0.7),
    "ready, resident MB": (75, 65),
}
"""First step and aim, by the design."""
ROUNDS, QUICK_ROUNDS = 9, 3
STARTS = 5
SAMPLE = 10
"""Every tenth answer of a round is compared with the library's."""
ECHO, RAW = "tests.benchmarks.echo:app", "tests.benchmarks.echo:raw"
FASTAPI = "tests.benchmarks.in_fastapi:create_app"
ASKED: dict[str, tuple[Any, Any]] = {
    "/v1/press-targets": (PressTargetQuestion, press_target),
    "/v1/setup-checks": (SetupCheckQuestion, setup_check),
    "/v1/tooling-picks": (ToolingPickQuestion, tooling_pick),
}


class Day(Struct):
    """What of an answer says on which day its question was received."""

    received_on: date


def measure(options: Options) -> dict[str, float]:
    """Print the table; the ratios to the echo by question, and those of the start."""
    rounds = QUICK_ROUNDS if options.quick else ROUNDS
    with ExitStack() as stack:
        rooms = {OURS: stack.enter_context(room_of(ROOT))}
        if options.tree is not None:
            rooms[OTHER] = stack.enter_context(room_of(options.tree))
        figures = ready_figures(rooms)
        services = {name: stack.enter_context(deployed(room)) for name, room in rooms.items()}
        print(f"{rounds} rounds, seed {SEED}; ratios to the framework's echo of the same size")
        sizes = {mix.name: _mean_size(services[OURS], mix) for mix in MIXES}
        echoes = ",".join(str(size) for size in sorted(set(sizes.values())))
        beside = {
            "echo": stack.enter_context(by_uvicorn(ECHO, ECHO_BYTES=echoes)),
            "raw ASGI": stack.enter_context(by_uvicorn(RAW, ECHO_BYTES=echoes)),
        }
        if find_spec("fastapi"):
            beside["FastAPI"] = stack.enter_context(by_uvicorn(FASTAPI))
        else:
            print("FastAPI is not measured: `uv sync --group benchmark` installs it")
        for n in range(-1, rounds):  # the first pass is not counted
            for mix in MIXES:
                took = _took(services, beside, mix, sizes[mix.name], n)
                if n >= 0:
                    _note(figures, mix, took)
    show(figures, WANTED, options.json)
    medians = median(figures[OURS])
    return {name: medians[name] for name in RECORDED}


def _mean_size(service: Server, mix: Mix) -> int:
    """Mean size of the answers to a mix in bytes."""
    _, answers = service.asked(mix.path, mix.bodies(-1))
    return round(mean(len(each) for each in answers))


def _took(
    services: Mapping[str, Server], beside: Mapping[str, Server], mix: Mix, size: int, n: int
) -> dict[str, float]:
    """Processor time in us of a request of one round, by server."""
    took, bodies = {}, mix.bodies(n)
    servers = list({**services, **beside}.items())
    # Who is first differs, as each round finds another clock.
    for name, server in servers[n % len(servers) :] + servers[: n % len(servers)]:
        if name in {"echo", "raw ASGI"}:
            took[name], _ = server.asked(f"/{size}", bodies)
        elif name in services or mix.path == "/v1/press-targets":
            took[name], answers = server.asked(mix.path, bodies)
            # Of another tree the words may be others.
            if name != OTHER and n < 1:
                compare(mix, bodies[::SAMPLE], answers[::SAMPLE])
    return took


def _note(figures: dict[str, Figures], mix: Mix, took: Mapping[str, float]) -> None:
    """Add what a round says of each tree."""
    for name, told in figures.items():
        noted = {mix.name: took[name] / took["echo"]}
        if "FastAPI" in took:
            noted[f"{mix.name} / FastAPI"] = took[name] / took["FastAPI"]
        if mix.picks:
            noted[f"{mix.name}, a second"] = mix.picks * 1e6 / took[name]
        else:
            noted[f"{mix.name}, us"] = took[name]
        if name == OURS:
            noted[f"{mix.name}, raw ASGI"] = took["raw ASGI"] / took["echo"]
        if name == OURS and OTHER in took:
            noted[f"{mix.name} / {OTHER}"] = took[OURS] / took[OTHER]
        add(told, noted)


def compare(mix: Mix, bodies: Sequence[bytes], answers: Sequence[bytes]) -> None:
    """Raise unless the answers are the very bytes of the library's."""
    kind, answer_to = ASKED[mix.path]
    for body, answer in zip(bodies, answers, strict=True):
        received = Received(on=msgspec.json.decode(answer, type=Day).received_on)
        question = msgspec.json.decode(body, type=kind)
        if msgspec.json.encode(answer_to(index(), question, received=received)) != answer:
            raise RuntimeError(f"{mix.name}: not the library's answer to {body[:500]!r}")


def ready_figures(rooms: Mapping[str, Path]) -> dict[str, Figures]:
    """Processor time and memory of a server that was asked nothing yet, beside the echo's.

    The first start of each is not counted: it reads from the disk what the others find in memory.
    """
    starts: dict[str, list[tuple[float, float]]] = {name: [] for name in [*rooms, "echo"]}
    for _ in range(1 + STARTS):
        for name, room in rooms.items():
            starts[name].append(started(storing(room)))
        starts["echo"].append(started(by_uvicorn(ECHO)))
    figures = {}
    for name in rooms:
        pairs = list(zip(starts[name], starts["echo"], strict=True))[1:]
        figures[name] = {
            "ready, processor time": [mine[0] / other[0] for mine, other in pairs],
            "ready, processor s": [mine[0] for mine, _ in pairs],
            "ready, resident": [mine[1] / other[1] for mine, other in pairs],
            "ready, resident MB": [mine[1] for mine, _ in pairs],
        }
    return figures


def started(serving: AbstractContextManager[Server]) -> tuple[float, float]:
    """Processor time in s and resident memory in MB of a server that has just become ready."""
    with serving as server:
        return server.processor_s(), server.resident_mb()


def main(arguments: Sequence[str] = ()) -> int:
    """Measure; 1 at twice a recorded ratio."""
    return verdict(measure(options_of(arguments, __doc__)), RECORDED)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
