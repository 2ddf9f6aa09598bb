"""Whether the service lives, and whether it can answer."""

from litestar import get
from msgspec import Struct

from service.edge.decoding import StrictRequest


class Live(Struct, frozen=True):
    """The process answers."""

    live: bool


class Ready(Struct, frozen=True):
    """The service answers questions from this revision."""

    ready: bool
    revision: str


@get("/health/live", operation_id="live")
async def read_live() -> Live:
    """Whether the process answers at all."""
    return Live(live=True)


@get("/health/ready", operation_id="ready")
async def read_ready(request: StrictRequest) -> Ready:
    """Whether questions can be answered, and from which revision."""
    return Ready(ready=True, revision=request.index.revision)
