"""The yardsticks: answers of the same size that decide nothing, by the framework and without one.

`ECHO_BYTES` names the sizes; each is a path of its own.
"""

import os
from typing import Any

from litestar import Litestar, Request, Response, post
from litestar.datastructures import State
from litestar.handlers import HTTPRouteHandler

SIZES = [int(size) for size in os.environ.get("ECHO_BYTES", "0").split(",")]
ANSWERS = {f"/{size}": b"x" * size for size in SIZES}


def echoing(path: str, answer: bytes) -> HTTPRouteHandler:
    """Handler that reads the body and sends the answer."""

    @post(path, status_code=200)
    async def echo(request: Request[Any, Any, State]) -> Response[bytes]:
        await request.body()
        return Response(answer, media_type="application/json")

    return echo


app = Litestar([echoing(*each) for each in ANSWERS.items()], openapi_config=None)


async def raw(scope: Any, receive: Any, send: Any) -> None:
    """The same on the bare protocol of the server."""
    if scope["type"] == "lifespan":
        for event in ("startup", "shutdown"):
            await receive()
            await send({"type": f"lifespan.{event}.complete"})
        return
    while (await receive()).get("more_body"):
        pass
    answer = ANSWERS.get(scope["path"], b"")
    headers = [(b"content-type", b"application/json"), (b"content-length", b"%d" % len(answer))]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": answer})
