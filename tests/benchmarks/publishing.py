"""What publishing costs the bench: answers while a report is made, and after an activation.

`python -m tests.benchmarks.publishing` prints ratios, and fails at twice a recorded one.
"""

import resource
import statistics
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

import httpx
from msgspec import structs

from catalog.revision import Revision, revision_of, rows_of
from catalog.rows import Target
from catalog.seed import shipped_revision
from service.app import create_app
from service.office.activating import activate
from service.office.approving import approve
from service.office.keys import make_key
from service.office.proposing import Sent, keep, look
from service.office.replaying import PATIENCE_S
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from tests.benchmarks.recorded import verdict
from tests.service.serving import OPEN, fixed_day, press_target, served

RECORDED = {
    "a report": 4000,
    "press target while a report is made": 0.84,
    "an activation and the answer after it": 21,
}
"""Processor time, as a ratio to that of one press target asked of an idle service.

A neighbour on the machine makes a wait long and no work more: waits are printed alone.
"""
AT = "2026-03-02T08:00:00Z"
ASKED = 400
FLIPS = 50


def main() -> int:
    """Measure; 1 at twice a recorded ratio."""
    return verdict(measure(), RECORDED)


def measure() -> dict[str, float]:
    """Print what publishing costs; the ratios that are recorded."""
    with tempfile.TemporaryDirectory() as room:
        store = open_store(Path(room), seed=shipped_revision(), at=AT)
        with served(app=create_app(OPEN, today=fixed_day, store=store)) as client:
            ratios = _ratios(client, store)
        store.close()
    return ratios


def _ratios(client: httpx.Client, store: Store) -> dict[str, float]:
    begun_s = time.process_time()
    idle = _asked(client, ASKED)
    work_s = (time.process_time() - begun_s) / ASKED
    proposal = revised(shipped_revision())
    sent = {"note": "benchmark", "base": "current", "tables": {"targets": _plain(proposal)}}
    during: list[float] = []
    ended = threading.Event()

    def ask_on() -> None:
        while not ended.is_set():
            during.extend(_asked(client, 20))

    asking = threading.Thread(target=ask_on)
    asking.start()
    key = {"Authorization": f"Bearer {_key(store)}"}
    started, begun_s, replays_s = time.perf_counter(), time.process_time(), _replays_s()
    answer = client.post("/v1/revisions", json=sent, headers=key, timeout=PATIENCE_S)
    took_s = time.perf_counter() - started
    ended.set()
    asking.join()
    during_s, replays_s = time.process_time() - begun_s, _replays_s() - replays_s
    answer.raise_for_status()
    totals = answer.json()["report"]["totals"]
    print(f"report over {totals['questions']} questions and {totals['ratings']} ratings: ", end="")
    print(f"{took_s:.1f} s, {replays_s:.1f} s of processor time")
    for name, at in (("median", 0.5), ("99th of 100", 0.99)):
        before, now = _quantile(idle, at), _quantile(during, at)
        print(f"press target, {name}: {before * 1e3:.2f} ms idle, ", end="")
        print(f"{now * 1e3:.2f} ms while a report is made, {now / before:.2f} x")
    return {
        "a report": replays_s / work_s,
        # Made in the serving process, it would be in this one.
        "press target while a report is made": during_s / len(during) / work_s,
        "an activation and the answer after it": _flips(client, store, proposal) / work_s,
    }


def _replays_s() -> float:
    """Processor time of the processes that made reports and have ended."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _flips(client: httpx.Client, store: Store, proposal: Revision) -> float:
    """Processor time of an activation and the answer after it."""
    first = shipped_revision().id
    sent = Sent(tables=proposal.tables, bad_cells=(), base=None)
    looked = look(store, sent)
    keep(store, looked, by="office", note="benchmark", at=AT)
    approve(store, proposal.id, report=looked.digest, acknowledged=(), note="b", by="lead", at=AT)
    waits, steps = [], []
    begun_s = time.process_time()
    for n in range(FLIPS):
        revision = proposal.id if n % 2 == 0 else first
        started = time.perf_counter()
        activate(store, revision, expected=n + 1, note="b", by="lead", at=AT)
        middle = time.perf_counter()
        response = client.post("/v1/press-targets", json=press_target())
        waits.append(time.perf_counter() - middle)
        steps.append(middle - started)
        if response.headers["catalog-revision"] != revision:
            message = "an answer named a revision that was active no more"
            raise RuntimeError(message)
    work_s = (time.process_time() - begun_s) / FLIPS
    print(f"activation: {statistics.median(steps) * 1e3:.1f} ms; the answer after it ", end="")
    print(f"{statistics.median(waits) * 1e3:.1f} ms; both {work_s * 1e3:.1f} ms of processor time")
    return work_s


def revised(revision: Revision) -> Revision:
    """The shipped tables with one force changed."""
    targets = [
        structs.replace(row, force_kn=29.0, ceiling_kn=36.3)
        if (row.series, row.od_mm, row.wall_min_mm, row.force_kn) == ("S", 16.0, 2.4, 28.5)
        else row
        for row in rows_of(revision, Target)
    ]
    return revision_of({**revision.tables, "targets": targets})


def _plain(revision: Revision) -> list[dict[str, Any]]:
    return [
        {name: getattr(row, name) for name in row.__struct_fields__}
        for row in rows_of(revision, Target)
    ]


def _key(store: Store) -> str:
    return make_key(store, "office", ("propose",), expires_at=None, by="benchmark", at=AT).text


def _asked(client: httpx.Client, count: int) -> list[float]:
    took = []
    for _ in range(count):
        started = time.perf_counter()
        client.post("/v1/press-targets", json=press_target()).raise_for_status()
        took.append(time.perf_counter() - started)
    return took


def _quantile(values: list[float], at: float) -> float:
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(at * len(ordered)))]


if __name__ == "__main__":
    raise SystemExit(main())
