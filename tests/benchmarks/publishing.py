"""What publishing costs the bench: answers while a report is made, and after an activation.

`python -m tests.benchmarks.publishing` prints ratios; nothing is asserted by the clock.
"""

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
from service.store.sqlite import open_store
from service.store.store import Store
from tests.service.serving import OPEN, fixed_day, press_target, served

AT = "2026-03-02T08:00:00Z"
ASKED = 400
FLIPS = 50


def main() -> int:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as room:
        store = open_store(Path(room), seed=shipped_revision(), at=AT)
        with served(app=create_app(OPEN, today=fixed_day, store=store)) as client:
            _measure(client, store)
        store.close()
    return 0


def _measure(client: httpx.Client, store: Store) -> None:
    idle = _asked(client, ASKED)
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
    started = time.perf_counter()
    answer = client.post("/v1/revisions", json=sent, headers=key)
    took_s = time.perf_counter() - started
    ended.set()
    asking.join()
    answer.raise_for_status()
    totals = answer.json()["report"]["totals"]
    print(f"report over {totals['questions']} questions and {totals['ratings']} ratings: ", end="")
    print(f"{took_s:.1f} s, {took_s / statistics.median(idle):,.0f} x one press target")
    for name, at in (("median", 0.5), ("99th of 100", 0.99)):
        before, now = _quantile(idle, at), _quantile(during, at)
        print(f"press target, {name}: {before * 1e3:.2f} ms idle, ", end="")
        print(f"{now * 1e3:.2f} ms while a report is made, {now / before:.2f} x")
    _flips(client, store, proposal, _quantile(idle, 0.5))


def _flips(client: httpx.Client, store: Store, proposal: Revision, idle_s: float) -> None:
    first = shipped_revision().id
    sent = Sent(tables=proposal.tables, bad_cells=(), base=None)
    looked = look(store, sent)
    keep(store, looked, by="office", note="benchmark", at=AT)
    approve(store, proposal.id, report=looked.digest, acknowledged=(), note="b", by="lead", at=AT)
    waits, steps = [], []
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
    wait = statistics.median(waits)
    print(f"activation: {statistics.median(steps) * 1e3:.1f} ms; the answer after it ", end="")
    print(f"{wait * 1e3:.1f} ms, {wait / idle_s:.1f} x one when nothing has changed")


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
