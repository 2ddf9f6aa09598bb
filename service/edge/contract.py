"""The OpenAPI document, made from the handlers and the Structs, and committed to `openapi/`.

`python -m service.edge.contract --check` fails where it is stale, `--write` writes it anew.
The framework's own generator drops bounds, defaults and closed objects; msgspec's schemas are what
is truly enforced, so they are used as they are.
"""

import inspect
import json
import sys
from pathlib import Path
from typing import Any, Final

import msgspec
from litestar.handlers import HTTPRouteHandler

from catalog.terms import RULES_VERSION
from service.edge.operations import HEADERS, RATE_LIMITS, REF, SCHEME, header, operation, types_of
from service.edge.parameters import told_path
from service.edge.problems import ProblemDetails
from service.safety import SAFETY

PATH: Final = Path(__file__).parents[2] / "openapi" / "openapi.json"
_ABOUT: Final = (
    "Presetting cutting rings on hydraulic tube: tooling picks, setup checks, press targets and "
    "tube ratings from one versioned catalog. A refusal about the tube is a 200 with a verdict; "
    "4xx is for a request that is not of our form. A body of a kilobyte or more is sent in zstd or "
    "gzip where `Accept-Encoding` takes it."
)
_ETAG: Final = (
    "ETag",
    ("hash of the body without a coding, and the coding", '^"[0-9a-f]{64}(-gzip|-zstd)?"$'),
)
_SCHEME: Final = {
    "type": "http",
    "scheme": "bearer",
    "description": (
        "An API key, `rw_<id>_<secret>`. Each scope is given on its own: read, propose, approve, "
        "activate, record. A service may be set up so that reading needs no key."
    ),
}


def document(handlers: tuple[HTTPRouteHandler, ...]) -> dict[str, Any]:
    """OpenAPI 3.1 document of these handlers."""
    types: list[Any] = [ProblemDetails]
    for handler in handlers:
        types += types_of(handler)
    _, components = msgspec.json.schema_components(types, ref_template=REF)
    for schema in components.values():
        if "description" in schema:
            schema["description"] = inspect.cleandoc(schema["description"])
    paths: dict[str, Any] = {}
    for handler in handlers:
        path = min(handler.paths)
        for method in sorted(handler.http_methods - {"OPTIONS", "HEAD"}):
            told = operation(handler, method, path)
            paths.setdefault(told_path(path), {})[method.lower()] = told
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Ringwright",
            "version": f"1.{RULES_VERSION}",
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
            "description": f"{_ABOUT} {' '.join(SAFETY)}",
        },
        "servers": [{"url": "/"}],
        "paths": dict(sorted(paths.items())),
        "components": {
            "schemas": dict(sorted(components.items())),
            "headers": {name: header(*about) for name, about in (*HEADERS.items(), _ETAG)}
            | {name: header(*about) | {"required": False} for name, about in RATE_LIMITS.items()},
            "securitySchemes": {SCHEME: _SCHEME},
        },
    }


def document_bytes(handlers: tuple[HTTPRouteHandler, ...]) -> bytes:
    """Document as it is committed."""
    return (json.dumps(document(handlers), indent=1, ensure_ascii=False) + "\n").encode()


def main(arguments: list[str]) -> int:
    """Check or write the committed document."""
    from service.app import API_ROUTES, create_app
    from service.settings import Settings

    create_app(Settings())  # registers the handlers, which resolves their types
    made = document_bytes(API_ROUTES)
    if arguments == ["--write"]:
        PATH.write_bytes(made)
        return 0
    if arguments == ["--check"]:
        if PATH.is_file() and PATH.read_bytes() == made:
            return 0
        sys.stderr.write(
            f"{PATH.name} is stale: run `uv run python -m service.edge.contract --write`\n"
        )
        return 1
    sys.stderr.write("give --check or --write\n")
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
