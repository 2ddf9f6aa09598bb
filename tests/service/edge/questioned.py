"""Requests to the four questions, right and wrong in every way, and what the service answers.

`python -m tests.service.edge.questioned --write` asks again and keeps what is refused, in
`refused.json`: status, headers and body, but for those headers that every response has.
"""

import asyncio
import gzip
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from service.app import create_app
from service.demo.examples import examples
from service.edge.decoding import LARGE_BYTES
from service.edge.wrapper import Wrapper
from tests.catalog.rules.single_faults import SINGLE_FAULTS
from tests.catalog.synthetic import CONTROL, asked
from tests.service.edge.test_wrapper import asgi_scope
from tests.service.serving import OPEN, fixed_day, press_target

REFUSED: Final = Path(__file__).with_name("refused.json")
JSON: Final = (b"content-type", b"application/json")
PATHS: Final[dict[str, Any]] = {
    "/v1/press-targets": press_target(),
    "/v1/tooling-picks": {"items": [{}, {}]},
    "/v1/setup-checks": CONTROL,
    "/v1/tube-ratings": next(
        each.body for each in examples().values() if each.operation == "tube_rating"
    ),
}
"""A right question of each path."""
LIMIT: Final = OPEN.max_body_bytes
Head = list[tuple[bytes, bytes]]


class Sent(Struct, frozen=True):
    """A request, its body in the parts in which it comes; `left` before its end."""

    path: str
    parts: tuple[bytes, ...]
    headers: tuple[tuple[bytes, bytes], ...] = (JSON,)
    method: str = "POST"
    query: bytes = b""
    left: bool = False


class Answered(Struct, frozen=True):
    """A response as a server is handed it."""

    status: int
    headers: Head
    body: bytes


def ask(app: Wrapper, sent: Sent) -> Answered:
    """Answer of the service to a request."""
    given: list[dict[str, Any]] = []
    messages: Iterator[dict[str, Any]] = iter(
        [
            *(
                {"type": "http.request", "body": part, "more_body": sent.left or more > 0}
                for more, part in zip(range(len(sent.parts))[::-1], sent.parts, strict=True)
            ),
            {"type": "http.disconnect"},
        ]
    )

    async def receive() -> dict[str, Any]:
        return next(messages)

    async def send(message: dict[str, Any]) -> None:
        given.append(message)

    headers = [*sent.headers, (b"x-request-id", b"asked")]
    scope = {**asgi_scope(sent.method, sent.path, headers), "query_string": sent.query}
    asyncio.run(app(scope, receive, send))
    start, *bodies = given
    return Answered(
        start["status"], list(start["headers"]), b"".join(each["body"] for each in bodies)
    )


def answering() -> Wrapper:
    """Service that nobody else asks."""
    return create_app(OPEN, None, fixed_day)


def right() -> Iterator[tuple[str, Any]]:
    """Path and question of everything that is answered, with all single faults of a setup."""
    for example in examples().values():
        if example.path in PATHS and example.expect.status == 200:
            yield example.path, example.body
    for path in PATHS:
        yield path, {"items": [{}]} if path == "/v1/tooling-picks" else PATHS[path]
    for path in ("/v1/setup-checks", "/v1/press-targets"):
        yield path, {}
    for fault in SINGLE_FAULTS:
        setup = asked(CONTROL, dict(fault.set))
        yield "/v1/setup-checks", setup
        yield (
            "/v1/press-targets",
            {part: setup[part] for part in ("tube", "fitting", "press", "gauge") if part in setup},
        )
        yield (
            "/v1/tooling-picks",
            {"items": [{part: setup[part] for part in ("tube", "fitting") if part in setup}]},
        )


def wrong() -> Iterator[tuple[str, Sent]]:
    """Every way in which a request is refused, with a name."""
    for name, example in examples().items():
        if example.path in PATHS and example.expect.status >= 400:
            yield name, Sent(example.path, (json.dumps(example.body).encode(),))
    for path, question in PATHS.items():
        body = json.dumps(question).encode()
        for name, sent in _of_path(path, body):
            yield f"{path}: {name}", sent


def _of_path(path: str, body: bytes) -> Iterator[tuple[str, Sent]]:
    texts = {
        "nothing": b"",
        "spaces": b" \n",
        "mark": b"\xef\xbb\xbf" + body,
        "no UTF-8": body.replace(b"{", b'{"\xff": 1, ', 1),
        "torn": body[:-1],
        "more": body + b"}",
        "NaN": body.replace(b"{", b'{"on": NaN, ', 1),
        "deep": b"[" * 5000,
        "half a pair": b'{"on": "\\ud800"}',
        "digits": b'{"on": ' + b"9" * 5000 + b"}",
        "null": b"null",
        "list": b"[]",
        "number": b"1",
        "text": b'"x"',
        "twice": body.replace(b"{", b'{"on": "2026-03-02", "on": "2026-03-03", ', 1),
        "unknown": body.replace(b"{", b'{"colour": "red", ', 1),
        "kinds": b'{"tube": 1, "fitting": [], "items": {}, "on": "x", "press": 7, "methods": 1.5}',
        "large": body.replace(b"{", b'{"colour": "' + b"r" * LARGE_BYTES + b'", ', 1),
        "not stored": body.replace(b"{", b'{"revision": "sha256:' + b"0" * 64 + b'", ', 1),
    }
    for name, text in texts.items():
        yield name, Sent(path, (text,))
    yield "in parts", Sent(path, (b"", b"{", b"", b'"x": 1}'))
    for kind in (b"", b"text/plain", b"application/json; charset=latin-1", b"multipart/form-data"):
        given = ((b"content-type", kind),) if kind else ()
        yield f"as {kind.decode()}", Sent(path, (body,), given)
        yield f"nothing as {kind.decode()}", Sent(path, (b"",), given)
    yield "kinds twice", Sent(path, (body,), ((b"content-type", b"text/plain"), JSON))
    yield "packed", Sent(path, (gzip.compress(body),), (JSON, (b"content-encoding", b"gzip")))
    yield "query", Sent(path, (body,), query=b"a=1")
    yield "no host", Sent(path, (body,), (JSON, (b"host", b"a b")))
    over = (JSON, (b"content-length", str(LIMIT + 1).encode()))
    yield "length over the limit", Sent(path, (b"{",), over)
    yield "parts over the limit", Sent(path, (b" " * LIMIT, b" "))
    yield "left", Sent(path, (body[:9],), left=True)
    yield "left at once", Sent(path, ())
    for method in ("GET", "HEAD", "PUT", "DELETE", "OPTIONS"):
        yield method, Sent(path, (body,), method=method)
    yield "slash", Sent(f"{path}/", (body,))


_COMMON: Final = frozenset(
    name for name, _ in ask(answering(), Sent("/health/live", (b"",), method="GET")).headers
) - {b"content-type", b"etag", b"content-length", b"content-digest", b"cache-control"}


def refused() -> dict[str, dict[str, Any]]:
    """What each wrong request is answered."""
    app = answering()
    told = {}
    for name, sent in wrong():
        answer = ask(app, sent)
        told[name] = {
            "status": answer.status,
            "headers": [
                f"{n.decode()}: {v.decode()}" for n, v in answer.headers if n not in _COMMON
            ],
            "body": answer.body.decode(),
        }
    return told


if __name__ == "__main__" and sys.argv[1:] == ["--write"]:
    REFUSED.write_text(json.dumps(refused(), indent=1) + "\n", encoding="utf-8")
