"""One outer ASGI wrapper: what every response carries, whatever answered it.

The framework's middleware never runs for a path or method that it does not know, so request id,
log, HEAD, OPTIONS, digests and the last resort against a bug stand here.
"""

import asyncio
import logging
import re
import secrets
import time
from collections.abc import Iterable
from typing import Any, Final

from litestar.exceptions import HTTPException
from litestar.types import ASGIApp, HTTPScope, Message, Receive, Send

from catalog.terms import RULES_VERSION
from service.current import Current
from service.edge.doors import Door, Doors, Place
from service.edge.guard import Guard
from service.edge.problems import ProblemError
from service.edge.response import (
    Answer,
    Headers,
    as_read,
    finished,
    made,
    pieces,
    problem_response,
)

GONE: Final = 499
"""Status in the log for a caller who left before the question was whole."""
BODY_PATIENCE_S: Final = 60
"""Seconds in which a body must come."""
LOGGED_LETTERS: Final = 200
FAULTS: Final = logging.getLogger("ringwright.faults")

_REQUEST_ID: Final = re.compile(rb"[A-Za-z0-9._-]{1,64}")
_SECURITY: Final = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
# What default-src does not cover stands there too.
_CSP_API: Final = b"default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
_CSP_DOCS: Final = (
    _CSP_API + b"; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'"
)


class GoneError(Exception):
    """The caller has left before the question was whole: nobody's fault, and nobody to answer."""


class Wrapper:
    """The service as it is seen from outside."""

    def __init__(
        self,
        app: ASGIApp,
        current: Current,
        doors: Doors,
        guard: Guard,
        *,
        log_requests: bool,
    ) -> None:
        self.app = app
        self.current = current
        self.doors = doors
        self.guard = guard
        self.log_requests = log_requests

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer one request; what is no HTTP request is passed on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            if self.guard.log is not None:
                self.guard.log.flush()  # a server that is told to end may end by that signal
            return
        started = time.perf_counter()
        request_id = _request_id(scope["headers"])
        # INVARIANT: an answer and its headers come from one reading, that of the moment when the
        # request was whole: `take` replaces this one before a handler is called.
        reading = await self.current.latest()
        state = scope.setdefault("state", {})
        state["reading"], state["caller"], state["request_id"] = reading, None, request_id
        state["counted"] = ()
        answer = await self._answer(scope, receive, request_id)
        headers, parts = await finished(scope, answer)
        headers += _common_headers(state["reading"].index.revision, request_id)
        headers += state["counted"]
        if not any(name == b"content-security-policy" for name, _ in answer.headers):
            policy = _CSP_DOCS if scope["path"].startswith("/docs") else _CSP_API
            headers.append((b"content-security-policy", policy))
        await _send(send, answer.status, headers, parts)
        if self.log_requests and self.guard.log is not None:
            self.guard.log.add(
                {
                    "method": scope["method"],
                    "path": scope["path"][:LOGGED_LETTERS],
                    "status": answer.status,
                    "ms": round((time.perf_counter() - started) * 1000, 3),
                    "request_id": request_id,
                }
            )

    async def _answer(self, scope: HTTPScope, receive: Receive, request_id: str) -> Answer:
        try:
            place, door = self._found(scope)
            if scope["method"] != "OPTIONS":
                scope["state"]["caller"] = await self.guard.admitted(
                    scope, door, self.current.keyring, request_id
                )
            _refuse_query(scope, door)
            if scope["method"] == "OPTIONS":
                return Answer(204, [(b"allow", ", ".join(place.allow).encode())])
            inner = scope
            if scope["method"] == "HEAD":
                inner = {**scope, "method": "GET"}
            return await as_read(scope, await self._collected(inner, receive))
        except GoneError:
            return Answer(GONE, [])
        except ProblemError as problem:
            return problem_response(problem, request_id)
        except Exception as error:
            if isinstance(error, HTTPException) and error.status_code < 500:
                return problem_response(_refused(scope, error), request_id)
            FAULTS.exception("request %s failed", request_id)
            return problem_response(ProblemError("internal", INTERNAL), request_id)

    async def _collected(self, scope: HTTPScope, receive: Receive) -> Answer:
        """Whole response of the app, so that its digest can stand in the headers."""
        state = scope["state"]
        status = 500
        headers: Headers = []
        parts: list[bytes] = []
        whole = False
        deadline = asyncio.get_running_loop().time() + BODY_PATIENCE_S

        async def take() -> Any:
            nonlocal whole
            if whole:
                return await receive()
            try:
                async with asyncio.timeout_at(deadline):
                    message = await receive()
            except TimeoutError:
                detail = f"the body did not come within {BODY_PATIENCE_S} s: send it anew"
                raise ProblemError("too-slow", detail) from None
            if message["type"] == "http.disconnect":
                raise GoneError
            if not message.get("more_body", False):
                whole = True
                # A body may take its time, and what was withdrawn or revoked meanwhile must hold.
                state["reading"] = await self.current.latest()
                self.guard.refuse_revoked(state["caller"], self.current.keyring)
            return message

        async def keep(message: Message) -> None:
            nonlocal status, headers
            if message["type"] == "http.response.start":
                status, headers = message["status"], list(message["headers"])
            elif message["type"] == "http.response.body":
                parts.append(message["body"])

        await self.app(scope, take, keep)
        return made(status, headers, parts)

    def _found(self, scope: HTTPScope) -> tuple[Place, Door]:
        """Place and door of a request, or raise what is wrong with its path or method."""
        path, method = scope["path"], scope["method"]
        place = self.doors.place(path)
        if place is None:
            raise ProblemError("not-found", f"`{path[:100]}` is not a path of this service")
        door = place.doors.get(method)
        if door is None:
            takes = ", ".join(place.allow)
            detail = f"`{method}` is not for `{path[:100]}`, which takes {takes}"
            raise ProblemError("method-not-allowed", detail, headers=(("allow", takes),))
        return place, door


def _refuse_query(scope: HTTPScope, door: Door) -> None:
    """Raise a problem where a query is given that nobody will read."""
    if scope["query_string"] and door.query is None:
        shown = scope["query_string"][:100].decode("latin-1")
        raise ProblemError("query", f"`{shown}` is given: this path takes no query")


def _refused(scope: Any, error: HTTPException) -> ProblemError:
    """Problem of what the framework refuses."""
    if error.status_code == 413:
        limit = scope["route_handler"].resolve_request_max_body_size()
        return ProblemError("too-large", f"the body is over {limit} bytes")
    return ProblemError("bad-request", error.detail)


INTERNAL: Final = "nothing was answered or kept: the fault is logged under the request id"


async def _send(send: Send, status: int, headers: Headers, parts: Iterable[bytes]) -> None:
    """Send a response, the others let in between two pieces of it."""
    await send({"type": "http.response.start", "status": status, "headers": headers})
    last = b""
    for piece in pieces(parts):
        if last:
            await send({"type": "http.response.body", "body": last, "more_body": True})
            await asyncio.sleep(0)
        last = piece
    await send({"type": "http.response.body", "body": last, "more_body": False})


def _common_headers(revision: str, request_id: str) -> Headers:
    """Headers of every response."""
    return [
        (b"catalog-revision", revision.encode()),
        (b"ringwright-rules", RULES_VERSION.encode()),
        (b"x-request-id", request_id.encode()),
        *_SECURITY,
    ]


def _request_id(headers: Iterable[tuple[bytes, bytes]]) -> str:
    for name, value in headers:
        if name == b"x-request-id" and _REQUEST_ID.fullmatch(value):
            return value.decode()
    return secrets.token_hex(8)
