"""The yardstick: the framework answers the same bodies at the same size, deciding nothing."""

import os
from pathlib import Path

from litestar import Litestar, Request, Response, post
from litestar.datastructures import State

ANSWER = Path(os.environ.get("ECHO_ANSWER", "/dev/null")).read_bytes()


@post("/echo", status_code=200)
async def echo(request: Request[None, None, State]) -> Response[bytes]:
    """Read the body, send the answer."""
    await request.body()
    return Response(ANSWER, media_type="application/json")


app = Litestar([echo], openapi_config=None)
