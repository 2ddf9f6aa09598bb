"""Handlers of the questions: routed by the framework, and read and answered past the rest of it.

What it does to a request, to arguments and to an answer takes as long as a press target.
"""

from collections.abc import Awaitable, Callable
from typing import Any, Final, Self, get_type_hints

from litestar.handlers import ASGIRouteHandler, HTTPRouteHandler
from litestar.types import Receive, Scope, Send
from msgspec import Struct, json

from service.edge.decoding import StrictRequest

Parts = tuple[bytes, ...]
"""JSON in the parts in which it was encoded: no copy of all of it is made."""


class Question(ASGIRouteHandler):
    """POST of a question: a function of its Struct and the request gives a Struct, or its JSON.

    The types of both are `asks` and `answers` of its `opt`, unless they stand there. The framework
    finds no parameters in the path of such a handler.
    """

    http_methods: Final = frozenset({"POST"})
    status_code: Final = 200

    def __init__(self, path: str, *, operation_id: str, opt: dict[str, Any]) -> None:
        super().__init__(path, opt=opt, copy_scope=False)
        self.operation_id = operation_id
        self.tags = ("questions",)

    def __call__(self, fn: Callable[[Any, StrictRequest], Awaitable[Struct | Parts]]) -> Self:
        """Handler of a function."""
        hints = get_type_hints(fn)
        kind = hints["data"]
        self.opt = {"asks": kind, "answers": hints["return"], **self.opt}

        async def answered(scope: Scope, receive: Receive, send: Send) -> None:
            request = StrictRequest(scope, receive, send)
            answer = await fn(await request.question(kind), request)
            headers = [(b"content-type", b"application/json")]
            await send({"type": "http.response.start", "status": 200, "headers": headers})
            for part in answer if isinstance(answer, tuple) else (json.encode(answer),):
                await send({"type": "http.response.body", "body": part, "more_body": True})

        answered.__doc__ = fn.__doc__
        return super().__call__(answered)


Described = HTTPRouteHandler | Question
"""Handler that the contract describes."""
