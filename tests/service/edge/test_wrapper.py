"""What every response carries, whatever answered it."""

import asyncio
import base64
import hashlib
import json
import logging
from typing import Any

import httpx
import pytest
from litestar.exceptions import ClientException, InternalServerException
from msgspec import structs

from catalog.answers.press_target import press_target
from catalog.answers.shapes import PressTargetAnswer
from catalog.index import Index
from catalog.questions import PressTargetQuestion
from catalog.seed import shipped_index
from catalog.terms import RULES_VERSION
from service.app import create_app
from service.current import Reading
from service.edge.access import Keyring, key_text, keyring_of
from tests.service.edge.keys import made
from tests.service.serving import OPEN, connected, fixed_day, logged, served
from tests.service.serving import press_target as question

PATHS = ["/v1/vocabulary", "/health/live", "/health/ready", "/openapi.json", "/", "/docs"]


def asgi_scope(method: str, path: str, headers: list[tuple[bytes, bytes]]) -> dict[str, Any]:
    """Request as a server hands it to the service."""
    return {
        "type": "http",
        "http_version": "1.1",
        "method": method,
        "path": path,
        "raw_path": path.encode(),
        "root_path": "",
        "query_string": b"",
        "headers": headers,
    }


def responses(client: httpx.Client) -> dict[str, httpx.Response]:
    return {
        "answer": client.post("/v1/press-targets", json=question()),
        "read": client.get("/v1/vocabulary"),
        "head": client.head("/v1/vocabulary"),
        "options": client.options("/v1/press-targets"),
        "unchanged": client.get("/v1/vocabulary", headers={"If-None-Match": "*"}),
        "not found": client.get("/nothing"),
        "wrong method": client.get("/v1/press-targets"),
        "not json": client.post("/v1/press-targets", content=b"{"),
        "not our form": client.post("/v1/press-targets", json={"x": 1}),
        "query": client.get("/v1/vocabulary?x=1"),
    }


def test_every_response_names_revision_rules_digest_and_request(client: httpx.Client) -> None:
    revision = shipped_index().revision
    # A client shows what it has decoded: how coded bodies are digested is for test_coding.
    with httpx.Client(base_url=client.base_url, headers={"Accept-Encoding": ""}) as plain:
        told = responses(plain)
    for name, response in told.items():
        headers = response.headers
        assert headers["catalog-revision"] == revision, name
        assert headers["ringwright-rules"] == RULES_VERSION, name
        assert headers["x-request-id"], name
        assert headers["x-content-type-options"] == "nosniff", name
        assert headers["referrer-policy"] == "no-referrer", name
        assert headers["x-frame-options"] == "DENY", name
        assert headers["cross-origin-resource-policy"] == "same-origin", name
        for forbids in ("default-src", "base-uri", "form-action", "frame-ancestors"):
            assert f"{forbids} 'none'" in headers["content-security-policy"], name
        assert "server" not in headers, name
        # RFC 9530 takes it over the bytes that are sent: none for HEAD, 204 and 304.
        digest = base64.b64encode(hashlib.sha256(response.content).digest()).decode()
        assert headers["content-digest"] == f"sha-256=:{digest}:", name


def test_answers_are_not_stored_and_reads_are_checked(client: httpx.Client) -> None:
    told = responses(client)
    assert told["answer"].headers["cache-control"] == "no-store"
    assert "etag" not in told["answer"].headers
    assert told["read"].headers["cache-control"] == "no-cache"
    assert told["unchanged"].status_code == 304
    assert "content-type" not in told["unchanged"].headers
    assert told["options"].status_code == 204
    assert "content-length" not in told["options"].headers  # RFC 9110 forbids it with 204


def test_a_refusal_is_not_kept_and_not_compared(client: httpx.Client) -> None:
    # The body of a problem names its request, so an ETag of it could match nothing.
    for path, status in (("/nothing", 404), ("/v1/press-targets", 405), ("/health/live?x=1", 400)):
        refused = client.get(path, headers={"If-None-Match": "*"})
        assert refused.status_code == status
        assert refused.headers["cache-control"] == "no-store"
        assert "etag" not in refused.headers
        assert refused.headers["content-type"] == "application/problem+json"


@pytest.mark.parametrize("path", PATHS)
def test_head_is_get_without_its_body(client: httpx.Client, path: str) -> None:
    got, head = client.get(path), client.head(path)
    assert (got.status_code, head.status_code) == (200, 200)
    assert head.content == b""
    for name in ("content-length", "etag", "content-type", "catalog-revision"):
        assert head.headers[name] == got.headers[name]


@pytest.mark.parametrize("path", PATHS)
def test_an_unchanged_body_is_304(client: httpx.Client, path: str) -> None:
    etag = client.get(path).headers["etag"]
    for asked in (etag, f'"other", {etag}', f"W/{etag}", "*"):
        response = client.get(path, headers={"If-None-Match": asked})
        assert (response.status_code, response.content) == (304, b"")
        assert response.headers["etag"] == etag
    assert client.get(path, headers={"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_another_body_than_the_one_asked_for_is_412(client: httpx.Client, method: str) -> None:
    path = "/v1/vocabulary"
    etag = client.get(path).headers["etag"]
    for asked in (etag, f'"other", {etag}', "*"):
        assert client.request(method, path, headers={"If-Match": asked}).status_code == 200
    # A weak tag never matches here (RFC 9110, 13.1.1), and If-Match is looked at first (13.2.2).
    for asked in ('"other"', f"W/{etag}"):
        headers = {"If-Match": asked, "If-None-Match": etag}
        refused = client.request(method, path, headers=headers)
        assert refused.status_code == 412
        assert refused.headers["content-type"] == "application/problem+json"
        assert refused.headers["cache-control"] == "no-store"
        assert "etag" not in refused.headers
    assert client.post("/v1/press-targets", json=question(), headers={"If-Match": '"x"'}).is_success


@pytest.mark.parametrize(
    ("path", "allow"),
    [
        ("/v1/press-targets", "OPTIONS, POST"),
        ("/v1/tooling-picks", "OPTIONS, POST"),
        ("/v1/vocabulary", "GET, HEAD, OPTIONS"),
    ],
)
def test_methods_are_told_and_others_refused(client: httpx.Client, path: str, allow: str) -> None:
    told = client.options(path)
    assert (told.status_code, told.headers["allow"]) == (204, allow)
    for method in {"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE"} - set(allow.split(", ")):
        refused = client.request(method, path)
        assert (refused.status_code, refused.headers["allow"]) == (405, allow)


@pytest.mark.parametrize("path", ["/nothing", "/v1/vocabulary/", "/v1", "/V1/vocabulary", "/docs/"])
def test_an_unknown_path_is_404_and_a_slash_is_no_alias(client: httpx.Client, path: str) -> None:
    response = client.get(path)
    assert response.status_code == 404
    assert response.json()["type"] == "urn:ringwright:problem:not-found"


@pytest.mark.parametrize("query", ["x=1", "revision=null", "a=1&a=2", "x"])
def test_an_unknown_query_is_400(client: httpx.Client, query: str) -> None:
    assert client.get(f"/v1/vocabulary?{query}").status_code == 400
    assert client.post(f"/v1/press-targets?{query}", json=question()).status_code == 400


def test_a_sane_request_id_is_kept_and_another_replaced(client: httpx.Client) -> None:
    kept = client.get("/health/live", headers={"X-Request-Id": "erp-17.a_b"})
    assert kept.headers["x-request-id"] == "erp-17.a_b"
    for bad in ("", "a b", "x" * 65, 'a"b'):
        made = client.get("/health/live", headers={"X-Request-Id": bad}).headers["x-request-id"]
        assert made != bad
        assert len(made) == 16


def test_a_revision_that_is_not_stored_is_404(client: httpx.Client) -> None:
    pinned = {"revision": "sha256:" + "0" * 64}
    for path, body in (
        ("/v1/press-targets", question(**pinned)),
        ("/v1/setup-checks", pinned),
        ("/v1/tube-ratings", pinned),
        ("/v1/tooling-picks", {"items": [{}], **pinned}),
    ):
        response = client.post(path, json=body)
        assert response.status_code == 404
        assert response.json()["type"] == "urn:ringwright:problem:revision-not-found"
    own = client.get("/health/ready").json()["revision"]
    assert client.post("/v1/press-targets", json=question(revision=own)).status_code == 200


@pytest.mark.parametrize(
    "error",
    [RuntimeError("secret of the house"), InternalServerException("secret of the house")],
    ids=["ours", "the framework's"],
)
def test_a_bug_is_500_logged_once_and_tells_nothing(
    error: Exception, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(*_: Any, **_more: Any) -> None:
        raise error

    monkeypatch.setattr("service.routes.answers.press_target", broken)
    with caplog.at_level(logging.ERROR), served() as client:
        response = client.post("/v1/press-targets", json=question())
    assert response.status_code == 500
    assert response.headers["content-type"] == "application/problem+json"
    assert "secret" not in response.text
    assert "verdict" not in response.json()
    faults = [record for record in caplog.records if record.levelno >= logging.ERROR]
    assert [record.name for record in faults] == ["ringwright.faults"]
    assert response.headers["x-request-id"] in faults[0].getMessage()
    assert faults[0].exc_info is not None
    assert response.headers["catalog-revision"]


def test_what_the_framework_refuses_is_a_problem_too(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuses(*_: Any, **_more: Any) -> None:
        raise ClientException("odd")

    monkeypatch.setattr("service.routes.answers.press_target", refuses)
    response = client.post("/v1/press-targets", json=question())
    assert response.status_code == 400
    assert response.headers["content-type"] == "application/problem+json"
    assert response.json()["detail"] == "odd"


def test_the_log_is_slim_and_holds_no_body() -> None:
    with logged() as (client, lines):
        client.post("/v1/press-targets", json=question(client_ref="order 4711"))
    assert len(lines) == 1
    entry = json.loads(lines[0])
    assert set(entry) == {"method", "path", "status", "ms", "request_id"}
    assert (entry["method"], entry["path"], entry["status"]) == ("POST", "/v1/press-targets", 200)
    assert "4711" not in lines[0]


def test_the_log_can_be_switched_off() -> None:
    with logged(structs.replace(OPEN, access_log=False)) as (client, lines):
        assert client.get("/health/live").status_code == 200
    assert lines == []


def test_one_request_reads_the_index_once(monkeypatch: pytest.MonkeyPatch) -> None:
    # A revision is activated while the question is being answered: body and headers must both
    # tell the revision that was read, the next request the new one.
    old = shipped_index()
    new = structs.replace(old, revision="sha256:" + "1" * 64)
    app = create_app(OPEN, old, fixed_day)

    def swapped(index: Index, question: PressTargetQuestion, **day: Any) -> PressTargetAnswer:
        app.current.reading = Reading(index=new)
        return press_target(index, question, **day)

    monkeypatch.setattr("service.routes.answers.press_target", swapped)
    with served(app=app) as client:
        first = client.post("/v1/press-targets", json=question())
        assert first.json()["revision"] == old.revision
        assert first.headers["catalog-revision"] == old.revision
        second = client.get("/health/ready")
        assert second.json()["revision"] == second.headers["catalog-revision"] == new.revision
        pinned = client.post("/v1/press-targets", json=question(revision=old.revision))
        assert pinned.status_code == 404


def test_a_revision_activated_while_the_body_arrives_answers_it() -> None:
    old = shipped_index()
    app = create_app(structs.replace(OPEN, access_log=False), old, fixed_day)
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        new = structs.replace(old, revision="sha256:" + "1" * 64)
        app.current.reading = Reading(index=new)
        return {"type": "http.request", "body": json.dumps(question()).encode()}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    headers = [(b"content-type", b"application/json")]
    asyncio.run(app(asgi_scope("POST", "/v1/press-targets", headers), receive, send))
    answering = app.current.reading.index.revision
    assert answering != old.revision
    assert dict(sent[0]["headers"])[b"catalog-revision"].decode() == answering
    assert json.loads(sent[1]["body"])["revision"] == answering


def test_a_key_revoked_while_the_body_arrives_opens_nothing() -> None:
    held, secret = made(1, "reader01", ("read",))
    settings = structs.replace(OPEN, access_log=False, open_reading=False)
    app = create_app(settings, keyring=keyring_of([held], []))
    key = f"Bearer {key_text(held.id, secret)}".encode()
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        app.current.keyring = Keyring({})
        return {"type": "http.request", "body": json.dumps(question()).encode()}

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    headers = [(b"content-type", b"application/json"), (b"authorization", key)]
    asyncio.run(app(asgi_scope("POST", "/v1/press-targets", headers), receive, send))
    assert sent[0]["status"] == 401


def test_a_body_that_does_not_come_is_told_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("service.edge.wrapper.BODY_PATIENCE_S", 0.2)
    with served() as client, connected(client) as connection:
        connection.sendall(
            b"POST /v1/press-targets HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
            b"Content-Length: 100\r\n\r\n{"
        )
        assert connection.recv(4096).startswith(b"HTTP/1.1 408 ")


def test_a_websocket_is_refused_without_a_fault(
    client: httpx.Client, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.ERROR), connected(client) as connection:
        connection.sendall(
            b"GET /v1/vocabulary HTTP/1.1\r\nHost: x\r\nConnection: Upgrade\r\n"
            b"Upgrade: websocket\r\nSec-WebSocket-Version: 13\r\n"
            b"Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n"
        )
        assert connection.recv(4096).split(b" ", 2)[1] in {b"403", b"404"}
    assert [r for r in caplog.records if r.name == "ringwright.faults"] == []


def test_a_failure_outside_the_framework_is_500_too() -> None:
    app = create_app(structs.replace(OPEN, access_log=False))

    async def fails(*_: Any) -> None:
        message = "torn"
        raise OSError(message)

    app.app = fails
    sent: list[dict[str, Any]] = []

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    async def ask() -> None:
        await app(asgi_scope("GET", "/health/live", []), None, send)

    asyncio.run(ask())
    assert sent[0]["status"] == 500
    assert b"torn" not in sent[1]["body"]
