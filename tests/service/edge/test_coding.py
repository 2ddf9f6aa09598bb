"""Codings: which one a caller gets, whatever the header, and that all of them tell the same."""

import base64
import gzip
import hashlib
import os
import subprocess
import sys
import threading
import zlib
from collections.abc import Callable
from typing import Any

import httpx
import pytest
from msgspec import Struct

from catalog.answers.press_target import press_target as answered
from service.edge.coding import IDENTITY, LONGEST_HEADER, chosen, coded
from service.edge.response import LARGE_BYTES, SMALL_BYTES, etags_of
from tests.service.serving import mm, press_target

if sys.version_info >= (3, 14):
    from compression import zstd
else:
    from backports import zstd

DECODED: dict[str, Callable[[bytes], bytes]] = {
    IDENTITY: bytes,
    "gzip": gzip.decompress,
    "zstd": zstd.decompress,
}
READS = {"small": "/health/live", "large": "/openapi.json", "stored": "/docs/swagger-ui.css"}


class Sent(Struct, frozen=True):
    """A response as it went over the wire."""

    status: int
    headers: httpx.Headers
    body: bytes

    @property
    def coding(self) -> str:
        return str(self.headers.get("content-encoding", IDENTITY))

    @property
    def told(self) -> bytes:
        return DECODED[self.coding](self.body)


def ask(
    client: httpx.Client, path: str, accepted: str | bytes, method: str = "GET", **more: Any
) -> Sent:
    """Response to a request with this `Accept-Encoding`, which must be sound in itself."""
    headers = {"Accept-Encoding": accepted, **more.pop("headers", {})}
    with client.stream(method, path, headers=headers, **more) as response:
        sent = Sent(response.status_code, response.headers, b"".join(response.iter_raw()))
    digest = base64.b64encode(hashlib.sha256(sent.body).digest()).decode()
    assert sent.headers["content-digest"] == f"sha-256=:{digest}:"
    if method != "HEAD" and sent.status != 304:
        assert sent.headers["content-length"] == str(len(sent.body))
    assert sent.headers["vary"] == "Accept-Encoding"
    return sent


@pytest.mark.parametrize(
    ("accepted", "coding"),
    [
        # RFC 9110, 12.5.3: its own five examples come first.
        ("compress, gzip", "gzip"),
        ("", IDENTITY),
        ("*", "zstd"),
        ("compress;q=0.5, gzip;q=1.0", "gzip"),
        ("gzip;q=1.0, identity; q=0.5, *;q=0", "gzip"),
        ("gzip, deflate, br, zstd", "zstd"),
        ("gzip;q=0.9, zstd;q=0.8", "gzip"),
        ("zstd;q=0, *", "gzip"),
        ("gzip;q=0", IDENTITY),
        ("gzip;q=0.000, zstd;q=0.001", "zstd"),
        ("x-gzip", "gzip"),
        ("GZip;Q=0.5", "gzip"),
        ("gzip ;\tq=0.5 ,, ,", "gzip"),
        ("gzip;q=0.5, gzip;q=0", IDENTITY),
        ("identity, gzip;q=0.9", IDENTITY),
        ("identity;q=0.5, gzip;q=0.5", "gzip"),
        ("identity;q=0, gzip;q=0.1", "gzip"),
        ("identity;q=0, *", "zstd"),
        ("*;q=0, gzip", "gzip"),
        # Nobody is refused: what forbids all is given what everybody can read.
        ("identity;q=0", IDENTITY),
        ("*;q=0", IDENTITY),
        ("identity;q=0, gzip;q=0, zstd;q=0", IDENTITY),
        ("br, deflate, unheard-of", IDENTITY),
        # What is not of the form is passed over, and what stands beside it counts.
        ("gzip;q=2", IDENTITY),
        ("gzip;q=-1", IDENTITY),
        ("gzip;q=0.0001", IDENTITY),
        ("gzip;q=", IDENTITY),
        ("gzip;level=9", IDENTITY),
        ("gzip;q=1;q=0", IDENTITY),
        ("gzip zstd", IDENTITY),
        ("gzip;q=x, zstd", "zstd"),
        ("=?, \x00, \xff, gzip", "gzip"),
        ("identity;q=zero, gzip;q=0.2", "gzip"),
        ("gzip," + " " * LONGEST_HEADER, IDENTITY),
        ("," * (LONGEST_HEADER - 4) + "gzip", "gzip"),
    ],
)
def test_the_coding_that_a_caller_prefers(accepted: str, coding: str) -> None:
    assert chosen(accepted.encode("latin-1")) == coding


@pytest.mark.parametrize(
    ("accepted", "coding"),
    [("gzip", IDENTITY), ("*", IDENTITY), ("gzip, identity;q=0", "gzip"), ("gzip, *;q=0", "gzip")],
)
def test_where_coding_does_not_pay_only_a_caller_who_wants_it_gets_one(
    accepted: str, coding: str
) -> None:
    assert chosen(accepted.encode(), worth=False) == coding


def test_the_same_parts_are_the_same_bytes_in_any_process() -> None:
    parts = [os.urandom(300), b"abc" * 50_000, b"", b"x"]
    program = (
        "import sys; from service.edge.coding import coded; body = sys.stdin.buffer.read();"
        f"cut = {len(parts[0])}; whole = [body[:cut], body[cut:-1], b'', body[-1:]];"
        "sys.stdout.buffer.write(coded(whole, sys.argv[1]))"
    )
    for coding in ("gzip", "zstd"):
        here = coded(parts, coding)
        assert DECODED[coding](here) == b"".join(parts)
        there = subprocess.run(
            [sys.executable, "-c", program, coding],
            input=b"".join(parts),
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": "7"},
        )
        assert there.stdout == here
    assert coded(parts, "gzip")[4:8] == bytes(4)  # RFC 1952: no time


@pytest.mark.parametrize("name", READS)
@pytest.mark.parametrize("accepted", ["identity", "gzip", "zstd", "gzip, deflate, br, zstd"])
def test_a_read_in_each_coding(client: httpx.Client, name: str, accepted: str) -> None:
    path = READS[name]
    got, plain = ask(client, path, accepted), ask(client, path, "identity")
    assert (got.status, plain.coding) == (200, IDENTITY)
    assert got.told == plain.body
    wanted = {"small": IDENTITY, "large": accepted.rpartition(", ")[2]}
    wanted["stored"] = "gzip" if "gzip" in accepted else accepted
    assert got.coding == wanted[name]
    # A strong tag names bytes: one for each coding.
    assert (got.headers["etag"] == plain.headers["etag"]) is (got.coding == IDENTITY)
    again = ask(client, path, accepted)
    assert (again.body, again.headers["etag"]) == (got.body, got.headers["etag"])
    head = ask(client, path, accepted, "HEAD")
    assert (head.status, head.body) == (200, b"")
    for header in ("etag", "content-length", "content-type"):
        assert head.headers[header] == got.headers[header]
    assert head.coding == got.coding


@pytest.mark.parametrize("name", READS)
@pytest.mark.parametrize("accepted", ["identity", "gzip", "zstd"])
def test_each_coding_is_compared_by_its_own_tag(
    client: httpx.Client, name: str, accepted: str
) -> None:
    path = READS[name]
    got = ask(client, path, accepted)
    tag = got.headers["etag"]
    others = {ask(client, path, each).headers["etag"] for each in DECODED} - {tag}
    assert len(others) == (0 if name == "small" else 2)
    for method in ("GET", "HEAD"):
        for given in (tag, f'"x", W/{tag}', "*"):
            same = ask(client, path, accepted, method, headers={"If-None-Match": given})
            assert (same.status, same.body, same.headers["etag"]) == (304, b"", tag)
            assert not {"content-encoding", "content-type", "content-length"} & set(same.headers)
        assert ask(client, path, accepted, method, headers={"If-Match": tag}).status == 200
        for other in others:
            # A caller who has another coding of it may not be able to read that one.
            new = ask(client, path, accepted, method, headers={"If-None-Match": other})
            assert (new.status, new.headers["etag"]) == (200, tag)
            assert ask(client, path, accepted, method, headers={"If-Match": other}).status == 412


def test_every_tag_of_a_body_is_known(client: httpx.Client) -> None:
    plain = ask(client, "/openapi.json", "identity").body
    tags = {ask(client, "/openapi.json", coding).headers["etag"] for coding in DECODED}
    assert etags_of(plain) == tags


def test_what_is_small_is_sent_as_it_is(client: httpx.Client) -> None:
    for path in ("/health/live", "/nothing"):
        plain = ask(client, path, "gzip")
        assert (plain.coding, len(plain.body) < SMALL_BYTES) == (IDENTITY, True)
        forced = ask(client, path, "gzip, identity;q=0")
        assert forced.coding == "gzip"
        # But for the id of the request, which is another.
        assert {*json_of(forced)} == {*json_of(plain)}
    nothing = client.options("/health/live", headers={"Accept-Encoding": "gzip, identity;q=0"})
    assert not {"content-encoding", "vary", "content-length"} & set(nothing.headers)


def json_of(sent: Sent) -> dict[str, Any]:
    return httpx.Response(200, content=sent.told).json()  # type: ignore[no-any-return]


@pytest.mark.parametrize("coding", DECODED)
def test_an_answer_is_the_same_in_each_coding(client: httpx.Client, coding: str) -> None:
    batch = {"items": [{"tube": {"od": mm(16)}, "client_ref": str(n)} for n in range(300)]}
    sizes = []
    for path, body in (("/v1/press-targets", press_target()), ("/v1/tooling-picks", batch)):
        plain = ask(client, path, "", "POST", json=body)
        got = ask(client, path, coding, "POST", json=body)
        assert (got.status, got.coding, got.told) == (200, coding, plain.body)
        assert "etag" not in got.headers
        sizes.append(len(plain.body))
    # One of them is coded on the event loop, one beside it.
    assert SMALL_BYTES < sizes[0] < LARGE_BYTES < sizes[1]


def test_a_long_problem_is_coded_too(client: httpx.Client) -> None:
    body = {"items": [{"tube": {"odd": n}} for n in range(100)]}
    got = ask(client, "/v1/tooling-picks", "gzip", "POST", json=body)
    assert (got.status, got.coding) == (422, "gzip")
    assert json_of(got)["error_count"] == 100


@pytest.mark.parametrize(
    "accepted", [b"\xff\x00gzip", b"gzip;q=\xc3\xa9", b";;;", b"gzip" * 5000, b"*;q=0", b"br"]
)
def test_no_header_is_an_error(client: httpx.Client, accepted: bytes) -> None:
    if b"\x00" in accepted:
        accepted = accepted.replace(b"\x00", b"")  # the server itself refuses it
    got = ask(client, "/v1/press-targets", accepted, "POST", json=press_target())
    assert (got.status, got.coding) == (200, IDENTITY)
    got = ask(client, "/v1/vocabulary", accepted)
    assert (got.status, got.coding) == (200, IDENTITY)


def test_two_headers_count_as_one(client: httpx.Client) -> None:
    def coding(*accepted: str) -> str:
        given = [("Accept-Encoding", each) for each in accepted]
        request = httpx.Request("GET", client.base_url.join("/v1/vocabulary"), headers=given)
        response = client.send(request, stream=True)
        response.close()
        return str(response.headers.get("content-encoding", IDENTITY))

    assert coding("gzip;q=0.5", "zstd;q=0.4") == "gzip"
    assert coding("br", "gzip") == "gzip"
    assert coding("gzip", "*;q=0") == "gzip"


def test_large_bodies_are_coded_beside_the_event_loop(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    where: list[tuple[bool, int]] = []
    loop: list[threading.Thread] = []

    def watched(parts: Any, coding: str) -> bytes:
        where.append((threading.current_thread() in loop, sum(map(len, parts))))
        return coded(parts, coding)

    def small(*asked: Any, **named: Any) -> Any:
        loop.append(threading.current_thread())
        return answered(*asked, **named)

    monkeypatch.setattr("service.routes.answers.press_target", small)
    monkeypatch.setattr("service.edge.response.coded", watched)
    ask(client, "/v1/press-targets", "gzip", "POST", json=press_target())
    ask(client, "/openapi.json", "gzip")
    (on_loop, few), (also, many) = where
    assert (on_loop, also) == (True, False)
    assert few < LARGE_BYTES <= many


def test_what_is_stored_packed_is_sent_as_stored(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object) -> bytes:
        raise AssertionError

    monkeypatch.setattr("service.edge.response.coded", never)
    monkeypatch.setattr("service.edge.response.decoded", never)
    for path in ("/docs/swagger-ui.css", "/docs/swagger-ui-bundle.js"):
        sent = ask(client, path, "gzip, deflate, br, zstd")
        assert (sent.status, sent.coding) == (200, "gzip")
        assert zlib.decompress(sent.body, 31)
