"""Answers of the service to the examples of the contract, as `openapi/answers` keeps them.

`python -m tests.contract.recorded --write` asks the service again and writes contract and answers
anew. Clock, day and keys are fixed, so the same tables and rules give the same bytes; a test
compares. What the bench asks is asked of the shipped tables; the office walks on a small store.
"""

import itertools
import json
import sys
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

import httpx
from msgspec import structs

from service.demo.examples import examples
from service.demo.running import DAY
from service.edge import contract
from service.edge.examples import ANSWERS
from tests.service.publishing.shop import AT, QUIET, Shop, opened, seeded
from tests.service.publishing.tables import as_json, end, revised, small
from tests.service.serving import OPEN, served

KEPT: Final = 2
"""Entries of a list that are kept of what an office reads, where a list may be long."""
Recorded = dict[str, dict[str, dict[str, Any]]]
"""By operation and name: summary, status, body of the question and answer."""


def recorded() -> Recorded:
    """Every example with its answer, asked of the service now."""
    found: Recorded = {}
    with served(structs.replace(OPEN, day=DAY)) as client:
        client.headers["X-Request-Id"] = "example"
        for name, example in examples().items():
            answer = client.request(example.method, example.path, json=example.body)
            kept = {"summary": example.name, "status": answer.status_code, "answer": answer.json()}
            if example.operation == "vocabulary":
                kept["answer"] = _cut(kept["answer"])
            found.setdefault(example.operation, {})[name] = kept
    with tempfile.TemporaryDirectory() as folder, _fixed():
        keys = seeded(Path(folder) / "store", small())
        with opened(Path(folder) / "store", keys, QUIET) as shop:
            for operation, kept in _walk(shop):
                found.setdefault(operation, {})[operation.replace("_", "-")] = kept
    return dict(sorted(found.items()))


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
    new = revised()
    proposal = {
        "note": "16 S x 2.5 measured anew",
        "base": "current",
        "tables": {"targets": as_json(new.tables["targets"])},
    }
    place = f"/v1/revisions/{new.id}"
    told = shop.post("/v1/revisions", proposal, "office")
    yield "propose", _kept("propose one table on top of what is active", told, proposal)
    for operation, what in (("report", "/report"), ("whole_report", "/report.json")):
        yield operation, _kept("what an approver reads", shop.get(place + what))
    items = {"items": [{"client_ref": "line 10", **end()}]}
    told_items = shop.post(f"{place}/impact", items)
    yield "items_impact", _kept("what it changes for an open line", told_items, items)
    approval = {
        "report": told.json()["report"]["digest"],
        "note": "read, agrees",
        "acknowledged": [],
    }
    answer = shop.post(f"{place}/approvals", approval, "lead")
    yield "approve", _kept("another person approves the report", answer, approval)
    yield "active", _kept("what answers now", shop.get("/v1/active"))
    activation = {"revision": new.id, "note": "from Monday on", "expected_activation": 1}
    answer = shop.ask("boss", "PUT", "/v1/active", json=activation)
    yield "activate", _kept("it answers from now on", answer, activation)
    withdrawal = {"reason": "measured wrongly", "rows": [new.tables["targets"][0].ref]}
    answer = shop.post(f"{place}/withdrawals", withdrawal, "boss")
    yield "withdraw", _kept("a row is withdrawn", answer, withdrawal)
    for operation, path in (
        ("revisions", "/v1/revisions"),
        ("revision", place),
        ("table", f"{place}/tables/presses"),
        ("diff", f"/v1/revisions/{small().id}/diff/{new.id}"),
        ("activations", "/v1/activations"),
        ("withdrawals", "/v1/withdrawals"),
        ("audit", "/v1/audit"),
        ("live", "/health/live"),
        ("ready", "/health/ready"),
    ):
        yield operation, _kept("as it is then", shop.get(path))


def _kept(summary: str, answer: httpx.Response, body: Any = None) -> dict[str, Any]:
    told = {"summary": summary, "status": answer.status_code, "answer": _cut(answer.json())}
    return told if body is None else {**told, "body": _cut(body)}


def _cut(value: Any) -> Any:
    """Value with the first entries of each list; `seconds_since_read` is of no moment."""
    if isinstance(value, list):
        return [_cut(each) for each in value[:KEPT]]
    if isinstance(value, dict):
        return {k: 0.1 if k == "seconds_since_read" else _cut(v) for k, v in value.items()}
    return value


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
