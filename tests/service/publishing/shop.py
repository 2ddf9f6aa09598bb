"""A served store, and everybody who has to do with it, each with a key."""

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
from msgspec import Struct

from catalog.publishing import report_on
from catalog.revision import Revision
from service.app import create_app
from service.office.keys import make_key
from service.office.proposing import Sent, keep, look
from service.settings import Settings
from service.store.records import AuditEntry, Scope
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.verifying import verified
from tests.service.serving import fixed_day, served

AT = "2026-03-02T08:00:00Z"
PEOPLE: dict[str, tuple[str, tuple[Scope, ...]]] = {
    "erp": ("erp", ("read",)),
    "office": ("office", ("read", "propose")),
    "other-office": ("other office", ("read", "propose")),
    "lead": ("lead", ("read", "approve")),
    "boss": ("boss", ("read", "activate")),
    # The office under a second key that may approve: it is the same person all the same.
    "office-again": ("office", ("read", "approve")),
}
"""Name and scopes of the key of each."""
QUIET = Settings(access_log=False, requests_per_second=0, follow_within_ms=0)
"""Settings of tests in which what another process does holds from the next request on."""


class Shop(Struct, frozen=True):
    """A service over a store, and the keys of those who ask it."""

    folder: Path
    store: Store
    client: httpx.Client
    keys: Mapping[str, str]

    def ask(self, who: str, method: str, path: str, **more: Any) -> httpx.Response:
        """Answer to a request with the key of somebody."""
        headers = {"Authorization": f"Bearer {self.keys[who]}", **more.pop("headers", {})}
        return self.client.request(method, path, headers=headers, **more)

    def get(self, path: str, who: str = "erp", **more: Any) -> httpx.Response:
        """Answer to a read."""
        return self.ask(who, "GET", path, **more)

    def post(self, path: str, body: Any, who: str = "erp", **more: Any) -> httpx.Response:
        """Answer to a JSON body."""
        return self.ask(who, "POST", path, json=body, **more)

    def propose(
        self, files: Mapping[str, bytes], *, base: str | None = "current", **more: Any
    ) -> httpx.Response:
        """Answer to files that the office proposes, as a form."""
        return propose(self.client, self.keys["office"], files, base=base, **more)

    def approve(
        self, revision: str, digest: str, who: str = "lead", acknowledged: Iterable[Any] = ()
    ) -> httpx.Response:
        """Answer to an approval."""
        body = {"report": digest, "note": "read", "acknowledged": list(acknowledged)}
        return self.post(f"/v1/revisions/{revision}/approvals", body, who)

    def activate(self, revision: str, expected: int | None = None, **more: Any) -> httpx.Response:
        """Answer to an activation over the one that holds, or over that expected."""
        seen = self.get("/v1/active").json()["n"] if expected is None else expected
        body = {"revision": revision, "note": "from Monday on", "expected_activation": seen}
        return self.ask("boss", "PUT", "/v1/active", json=body, **more)

    def publish(self, revision: Revision) -> None:
        """Have a revision answer: proposed beside the service, approved and activated by it."""
        digest = proposed(self.store, revision)
        body = [{"doubt": d, "reason": "pressed three rings"} for d in self.strong(revision.id)]
        assert self.approve(revision.id, digest, acknowledged=body).status_code == 201
        answered = self.activate(revision.id)
        assert answered.status_code == 200, answered.text

    def strong(self, revision: str) -> list[str]:
        """Strong doubts of the report on a revision."""
        found: list[str] = self.get(f"/v1/revisions/{revision}/report").json()["summary"]["strong"]
        return found

    def audit(self) -> tuple[AuditEntry, ...]:
        """Every step so far, past the service."""
        with self.store.reading() as records:
            return records.audit()

    def faults(self) -> tuple[str, ...]:
        """Everything that is wrong in the store."""
        with self.store.reading(checked=False) as records:
            return verified(records)


def seeded(folder: Path, seed: Revision) -> dict[str, str]:
    """Keys of everybody, for a new store of a folder that holds a seed."""
    store = open_store(folder, seed=seed, at=AT)
    keys = {
        who: make_key(store, name, scopes, expires_at=None, by="cli", at=AT).text
        for who, (name, scopes) in PEOPLE.items()
    }
    store.close()
    return keys


@contextmanager
def opened(folder: Path, keys: Mapping[str, str], settings: Settings = QUIET) -> Iterator[Shop]:
    """The shop on a folder, served until the block ends."""
    store = open_store(folder, seed=None, at=AT)
    try:
        with served(app=create_app(settings, store=store, today=fixed_day)) as client:
            yield Shop(folder, store, client, keys)
    finally:
        store.close()


def proposed(store: Store, revision: Revision, by: str = "office") -> str:
    """Digest of the report on a revision that the office has proposed, past HTTP."""
    sent = Sent(tables=revision.tables, bad_cells=(), base=None)
    looked = look(store, sent, reporter=report_on)
    keep(store, looked, by=by, note="tables of spring", at=AT)
    return looked.digest


def propose(
    client: httpx.Client,
    key: str,
    files: Mapping[str, bytes],
    *,
    base: str | None = "current",
    note: str = "16S measured anew",
    query: str = "",
) -> httpx.Response:
    """Answer to files that are proposed as a form."""
    data = {"note": note} | ({} if base is None else {"base": base})
    return client.post(
        f"/v1/revisions{query}",
        headers={"Authorization": f"Bearer {key}"},
        data={name: value for name, value in data.items() if value},
        files=[("tables", (name, content)) for name, content in files.items()],
    )


def refused(answer: httpx.Response, status: int, kind: str) -> dict[str, Any]:
    """Body of a problem of this status and kind."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == "application/problem+json"
    body: dict[str, Any] = json.loads(answer.content)
    assert body["type"] == f"urn:ringwright:problem:{kind}"
    return body


def pages(shop: Shop, path: str, field: str, limit: int, **query: Any) -> list[Any]:
    """Every entry of a list, asked for page by page to its end."""
    found: list[Any] = []
    after = 0
    while True:
        answer = shop.get(path, params={**query, "after": after, "limit": limit})
        assert answer.status_code == 200, answer.text
        body = answer.json()
        assert len(body[field]) <= limit
        found += body[field]
        if "next" not in body:
            return found
        assert body["next"] > after
        after = body["next"]
