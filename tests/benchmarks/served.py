"""Processor time of the service a request, as a ratio to the framework's own echo of the bodies.

`uv run python -m tests.benchmarks.served` prints it, and fails at twice the recorded ratio. The
service's processor time is read from the operating system, since the client shares the machine;
requests go one after the other over one connection, and echo and service take turns, so that a
change of clock speed meets both.
"""

import http.client
import os
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from catalog.rows import Material, Target
from catalog.seed import shipped_revision
from service.store.sqlite import open_store
from tests.benchmarks.recorded import verdict

RECORDED = {
    "press target": 3.5,
    "setup check": 6.6,
    # A brief answer, and so the echo beside it, is a tenth of a full one; a pick costs what it did.
    "1,000 tooling picks": 520,
    "ready, processor time": 1.2,
    "ready, resident": 1.2,
}
"""Ratios to the echo."""
SEED = 16
ROUNDS = 5
STARTS = 5
AT = "2026-03-02T08:00:00Z"
OURS = "service.app:create_served_app"
ECHO = "tests.benchmarks.echo:app"
FREE = {"RINGWRIGHT_OPEN_READING": "1", "RINGWRIGHT_REQUESTS_PER_SECOND": "0"}
"""Keys and limits cost two microseconds; a store, asked whether it changed, about ten."""


def bodies() -> dict[str, tuple[str, bytes, int]]:
    """Path, body and requests a round of each question; the work order is drawn by `SEED`."""
    tube = {"od": _mm(16), "wall": _mm(2), "material": "e235-n"}
    fitting = {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"}
    target = {"tube": tube, "fitting": fitting, "press": "press-b", "gauge": "gauge-b"}
    check = {
        **target,
        "tube": {**tube, "measured_od": _mm(16), "seam": "seamless", "straight_length": _mm(60)},
        "service": {
            "working_pressure": {"value": 200, "unit": "bar"},
            "temperature": {"value": 60, "unit": "degC"},
            "pulsating": False,
        },
        "tooling": {"cone": "cone-S-16", "plate": "plate-metric-16"},
        "intended_reading": {"value": 140, "unit": "bar"},
        "preparation": {
            "cut_method": "toothed-saw",
            "out_of_square": {"value": 0.6, "unit": "deg"},
            "deburred_inside": True,
            "deburred_outside": True,
            "cleaned": True,
            "lubricated": ["ring", "cone"],
            "ring_edge_towards": "tube-end",
            "nut_thread_towards": "tube-end",
            "tube_bottomed": True,
        },
        "on": "2026-03-02",
        "tool_state": {"cone_uses_since_check": 12, "gauge_calibration_due": "2026-09-30"},
    }
    return {
        "press target": ("/v1/press-targets", msgspec.json.encode(target), 1500),
        "setup check": ("/v1/setup-checks", msgspec.json.encode(check), 1000),
        "1,000 tooling picks": ("/v1/tooling-picks", msgspec.json.encode(work_order()), 6),
    }


def work_order() -> dict[str, object]:
    """A work order of 1,000 lines, drawn from every row of the targets."""
    draw = random.Random(SEED)  # noqa: S311 - a benchmark, not a secret
    tables = shipped_revision().tables
    targets = [row for row in tables["targets"] if isinstance(row, Target)]
    materials = [row for row in tables["materials"] if isinstance(row, Material) and row.preset]
    items = []
    for _ in range(1000):
        row = draw.choice(targets)
        of_family = [m.id for m in materials if m.family == row.family]
        items.append(
            {
                "tube": {
                    "od": _mm(row.od_mm),
                    "wall": _mm((row.wall_min_mm + row.wall_max_mm) / 2),
                    "material": draw.choice(of_family),
                    "insert": row.insert,
                },
                "fitting": {
                    "series": row.series,
                    "ring_style": row.ring_style,
                    "ring_material": row.family,
                },
                "quantity": draw.randint(1, 40),
            }
        )
    return {"items": items}


def _mm(value: float) -> dict[str, object]:
    return {"value": value, "unit": "mm"}


class Server:
    """A server of its own on a free port, asked over one connection."""

    def __init__(self, app: str, environment: dict[str, str]) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        command = [sys.executable, "-m", "uvicorn", app, "--port", str(self.port)]
        command += ["--no-access-log", "--log-level", "warning"]
        if ":create" in app:
            command.append("--factory")
        self.process = subprocess.Popen(
            command, env={**os.environ, **environment}, stderr=subprocess.DEVNULL
        )
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        deadline = time.monotonic() + 120
        while True:
            try:
                self.connection.connect()
            except OSError:
                if time.monotonic() > deadline or self.process.poll() is not None:
                    raise
                time.sleep(0.05)
            else:
                break

    def ask(self, path: str, body: bytes) -> bytes:
        """Answer to one POST."""
        self.connection.request("POST", path, body, {"Content-Type": "application/json"})
        response = self.connection.getresponse()
        answer = response.read()
        if response.status != 200:
            raise RuntimeError(f"{path} answered {response.status}: {answer[:300]!r}")
        return answer

    def processor_s(self) -> float:
        """Processor time that the threads of the server have used, to the nanosecond."""
        threads = Path(f"/proc/{self.process.pid}/task").iterdir()
        return sum(int((t / "schedstat").read_text().split()[0]) for t in threads) / 1e9

    def resident_mb(self) -> float:
        """Memory of the server that is not swapped out, shared libraries with it."""
        pages = int(Path(f"/proc/{self.process.pid}/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def spent_s(self, path: str, body: bytes, times: int) -> float:
        """Processor time of so many requests."""
        # The server ends a connection that was idle for seconds while the other one was asked.
        self.connection.close()
        before = self.processor_s()
        for _ in range(times):
            self.ask(path, body)
        return self.processor_s() - before


@contextmanager
def serving(app: str, **environment: str) -> Iterator[Server]:
    """A server that ends with the block."""
    server = Server(app, environment)
    try:
        yield server
    finally:
        server.connection.close()
        server.process.terminate()
        server.process.wait(10)


def measure() -> dict[str, float]:
    """Print the table; the ratios to the echo by question, and those of the start."""
    ratios = start_ratios()
    print(f"seed {SEED}, {ROUNDS} rounds, median processor time of the server, one worker")
    print(f"{'question':<20} {'body':>9} {'answer':>10} {'echo us':>9} {'ours us':>9} {'ratio':>6}")
    with serving(OURS, **FREE) as ours:
        for name, (path, body, times) in bodies().items():
            answer = ours.ask(path, body)
            with tempfile.NamedTemporaryFile() as file:
                file.write(answer)
                file.flush()
                with serving(ECHO, ECHO_ANSWER=file.name) as echo:
                    echo.ask("/echo", body)
                    pairs = [
                        (echo.spent_s("/echo", body, times), ours.spent_s(path, body, times))
                        for _ in range(ROUNDS)
                    ]
            per = 1e6 / times
            echo_us = statistics.median(other for other, _ in pairs) * per
            ours_us = statistics.median(mine for _, mine in pairs) * per
            ratios[name] = statistics.median(mine / other for other, mine in pairs)
            print(
                f"{name:<20} {len(body):>7} B {len(answer):>8} B {echo_us:>9.0f} {ours_us:>9.0f} "
                f"{ratios[name]:>6.2f}"
            )
    return ratios


def start_ratios() -> dict[str, float]:
    """Processor time and memory of a server that was asked nothing yet, beside the echo's.

    Ours has a store. The first start of each is not counted: it reads from the disk what the others
    find in memory.
    """
    with tempfile.TemporaryDirectory() as folder:
        open_store(Path(folder), seed=shipped_revision(), at=AT).close()
        ours, echo = zip(
            *(
                (started(OURS, **FREE, RINGWRIGHT_DATA=folder), started(ECHO))
                for _ in range(1 + STARTS)
            ),
            strict=True,
        )
    ratios = {}
    for n, name in enumerate(("processor time", "resident")):
        pairs = [(mine[n], other[n]) for mine, other in zip(ours[1:], echo[1:], strict=True)]
        ratios[f"ready, {name}"] = statistics.median(mine / other for mine, other in pairs)
        told = ", ".join(f"{mine:.2f} to {other:.2f}" for mine, other in pairs)
        print(f"ready, {name}: {told}: {ratios[f'ready, {name}']:.2f}")
    return ratios


def started(app: str, **environment: str) -> tuple[float, float]:
    """Processor time in s and resident memory in MB of a server that has just become ready."""
    with serving(app, **environment) as server:
        return server.processor_s(), server.resident_mb()


def main() -> int:
    """Measure; 1 at twice a recorded ratio."""
    return verdict(measure(), RECORDED)


if __name__ == "__main__":
    raise SystemExit(main())
