"""The contract as it is committed, a page to read it without internet, and where to find what."""

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from litestar import Response, get
from litestar.handlers import HTTPRouteHandler

CONTRACT: Final = "openapi/openapi.json"
_OPEN: Final[dict[str, Any]] = {"scope": "open"}
# The framework adds the charset to every text.
_ASSETS: Final = {
    "/docs": ("index.html", "text/html"),
    "/docs/start.js": ("start.js", "text/javascript"),
    "/docs/swagger-ui-bundle.js": ("swagger-ui-bundle.js.gz", "text/javascript"),
    "/docs/swagger-ui.css": ("swagger-ui.css.gz", "text/css"),
}


@cache
def contract_bytes() -> bytes:
    """Committed OpenAPI document: beside the packages in a checkout, inside them in a wheel."""
    packed = files("service").joinpath("openapi.json")
    if packed.is_file():
        return packed.read_bytes()
    return Path(__file__).parents[2].joinpath(CONTRACT).read_bytes()


@get("/", include_in_schema=False, opt=_OPEN)
async def read_links() -> dict[str, str]:
    """Where to find what."""
    return {
        "contract": "/openapi.json",
        "docs": "/docs",
        "vocabulary": "/v1/vocabulary",
        "ready": "/health/ready",
    }


@get("/openapi.json", include_in_schema=False, opt=_OPEN)
async def read_contract() -> Response[bytes]:
    """The contract as it is committed."""
    return Response(contract_bytes(), media_type="application/json")


def docs_routes() -> tuple[HTTPRouteHandler, ...]:
    """Handlers of the page and of all that it loads."""
    return (read_links, read_contract, *(_asset(path) for path in _ASSETS))


def _asset(path: str) -> HTTPRouteHandler:
    name, media_type = _ASSETS[path]
    content = files("service").joinpath("edge", "docs", name).read_bytes()
    # Sent as it is stored; the edge unpacks it for a caller who does not take gzip.
    headers = {"content-encoding": "gzip"} if name.endswith(".gz") else {}

    async def read() -> Response[bytes]:
        return Response(content, media_type=media_type, headers=headers)

    return get(path, include_in_schema=False, opt=_OPEN)(read)
