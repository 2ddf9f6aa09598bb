"""Answers of the service to the examples of the contract, as `openapi/answers` keeps them.

`python -m tests.contract.recorded --write` asks the service again and writes contract and answers
anew. Clock, day and keys are fixed, so the same tables and rules give the same bytes; a test
compares. What the bench asks is asked of the shipped tables; the office walks on a store so small
that its questions are whole. What is shown is what was answered, but for long lists, whose summary
says that they are cut, and for `seconds_since_read`, which is 0.1.
"""

import itertools
import json
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import cache
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

import httpx
from msgspec import structs

from catalog.revision import Revision, revision_of
from service.demo.examples import examples
from service.demo.running import DAY
from service.edge import contract
from service.edge.examples import ANSWERS
from tests.service.publishing.shop import AT, QUIET, Shop, opened, seeded
from tests.service.publishing.tables import PLAIN, THICK, as_json, end, small, with_row
from tests.service.serving import OPEN, served

KEPT: Final = 2
"""Entries of a list that are kept of what an office reads, where a list may be long."""
CUT: Final = f"long lists are cut to {KEPT} entries"
Recorded = dict[str, dict[str, dict[str, Any]]]
"""By operation and name: summary, status, body of the question, answer and how it was cut."""


def recorded() -> Recorded:
    """Every example with its answer, asked of the service now."""
    found: Recorded = {}
    with served(structs.replace(OPEN, day=DAY)) as client:
        client.headers["X-Request-Id"] = "example"
        for name, example in examples().items():
            answer = client.request(example.method, example.path, json=example.body)
            told = {"summary": example.name, "status": answer.status_code, "answer": answer.json()}
            if example.operation == "vocabulary":
                told = kept(example.name, answer)
            found.setdefault(example.operation, {})[name] = told
    with tempfile.TemporaryDirectory() as folder, _fixed():
        keys = seeded(Path(folder) / "store", active())
        with opened(Path(folder) / "store", keys, QUIET) as shop:
            for operation, told in _walk(shop):
                found.setdefault(operation, {})[operation.replace("_", "-")] = told
    return dict(sorted(found.items()))


@cache
def active() -> Revision:
    """What is active at first: the small tables with two targets, so that all of them are shown."""
    tables = small().tables
    targets = [row for row in tables["targets"] if row.ref in {PLAIN, THICK}]
    return revision_of({**tables, "targets": targets, "cases": ()})


@contextmanager
def _fixed() -> Iterator[None]:
    """Clock and keys that are the same each time."""
    count = itertools.count(1)
    with ExitStack() as stack:
        for name, module in sorted(sys.modules.items()):
            if name.startswith("service.routes.") and hasattr(module, "moment"):
                stack.enter_context(patch.object(module, "moment", lambda: AT))
        stack.enter_context(patch("service.office.keys.new_id", lambda: f"{next(count):010d}"))
        yield


def _walk(shop: Shop) -> Iterator[tuple[str, dict[str, Any]]]:
    """Steps of an office from the tables to the withdrawal, and everything that it reads."""
    new = with_row(THICK, base=active(), force_kn=29.01, ceiling_kn=36.26)
    proposal = {
        "note": "16 S x 2.5 measured anew",
        "base": "current",
        "tables": {"targets": as_json(new.tables["targets"])},
    }
    place = f"/v1/revisions/{new.id}"
    told = shop.post("/v1/revisions", proposal, "office")
    yield "propose", kept("propose one table on top of what is active", told, proposal)
    for operation, what in (("report", "/report"), ("whole_report", "/report.json")):
        yield operation, kept("what an approver reads", shop.get(place + what))
    items = {"items": [{"client_ref": "line 10", **end()}]}
    told_items = shop.post(f"{place}/impact", items)
    yield "items_impact", kept("what it changes for an open line", told_items, items)
    approval = {
        "report": told.json()["report"]["digest"],
        "note": "read, agrees",
        "acknowledged": [],
    }
    answer = shop.post(f"{place}/approvals", approval, "lead")
    yield "approve", kept("another person approves the report", answer, approval)
    yield "active", kept("what answers now", shop.get("/v1/active"))
    activation = {"revision": new.id, "note": "from Monday on", "expected_activation": 1}
    answer = shop.ask("boss", "PUT", "/v1/active", json=activation)
    yield "activate", kept("it answers from now on", answer, activation)
    withdrawal = {"reason": "measured wrongly", "rows": [new.tables["targets"][0].ref]}
    answer = shop.post(f"{place}/withdrawals", withdrawal, "boss")
    yield "withdraw", kept("a row is withdrawn", answer, withdrawal)
    for operation, path in (
        ("revisions", "/v1/revisions"),
        ("revision", place),
        ("table", f"{place}/tables/presses"),
        ("diff", f"/v1/revisions/{active().id}/diff/{new.id}"),
        ("activations", "/v1/activations"),
        ("withdrawals", "/v1/withdrawals"),
        ("audit", "/v1/audit"),
        ("live", "/health/live"),
        ("ready", "/health/ready"),
    ):
        yield operation, kept("as it is then", shop.get(path))


def kept(summary: str, answer: httpx.Response, body: Any = None) -> dict[str, Any]:
    """Example with its answer, of whose lists the first entries are kept; the question is whole."""
    whole = answer.json()
    if "seconds_since_read" in whole:
        whole["seconds_since_read"] = 0.1
    cut = _cut(whole)
    told = {"summary": summary, "status": answer.status_code, "answer": cut}
    if cut != whole:
        told["cut"] = CUT
    return told if body is None else {**told, "body": body}


def _cut(value: Any) -> Any:
    """Value with the first entries of each list."""
    if isinstance(value, list):
        return [_cut(each) for each in value[:KEPT]]
    return {k: _cut(v) for k, v in value.items()} if isinstance(value, dict) else value


def written(found: Recorded) -> dict[str, bytes]:
    """Files that keep answers, by their names."""
    return {
        f"{operation}.json": (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode()
        for operation, told in found.items()
    }


def main(arguments: list[str]) -> int:
    """Write answers and contract anew."""
    if arguments != ["--write"]:
        sys.stderr.write("give --write\n")
        return 2
    ANSWERS.mkdir(exist_ok=True)
    for name, content in written(recorded()).items():
        ANSWERS.joinpath(name).write_bytes(content)
    return contract.main(["--write"])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
