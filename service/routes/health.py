"""Whether the service lives, and whether it can answer."""

from typing import Annotated, Any, Final

from litestar import Response, get
from msgspec import Struct, structs

from catalog.wanted import about
from service.current import Health
from service.edge.decoding import StrictRequest
from service.routes.asking import current_of
from service.settings import Settings

_PROBE: Final[dict[str, Any]] = {"scope": "open", "throttled": False}


_READY: Final[dict[str, Any]] = {
    **_PROBE,
    "answers": {"application/json": Health},
    "also": {503: "the store cannot be followed: what answered last is told as stale, for a while"},
}


class Live(Struct, frozen=True):
    """The process answers."""

    live: Annotated[bool, about("always true")]


@get("/health/live", operation_id="live", tags=["health"], opt=_PROBE)
async def read_live() -> Live:
    """Whether the process answers at all.

    For a supervisor; whether questions are answered says `GET /health/ready`.
    """
    return Live(live=True)


@get("/health/ready", operation_id="ready", tags=["health"], opt=_READY)
async def read_ready(request: StrictRequest) -> Response[Health]:
    """Whether questions can be answered, and how far what answers is behind what is active.

    503 where the store cannot be followed: answers carry `data.stale`, and where not all of
    it could be read for `RINGWRIGHT_MAX_STALE_SECONDS`, questions are refused.
    """
    settings: Settings = request.app.state.settings
    health = structs.replace(current_of(request).health(), fixed_day=settings.day)
    return Response(health, status_code=200 if health.ready else 503)
