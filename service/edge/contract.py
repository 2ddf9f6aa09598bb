"""The OpenAPI document, made from the handlers and the Structs, and committed to `openapi/`.

`python -m service.edge.contract --check` fails where it is stale, `--write` writes it anew.
The framework's own generator loses closed objects, bounds of objects and names of closed sets, and
knows nothing of what the edge answers itself; msgspec's schemas are what is truly enforced.
"""

import json
import sys
from pathlib import Path
from typing import Any, Final

from service.edge.operations import (
    CODED,
    HEADERS,
    RATE_LIMITS,
    SCHEME,
    header,
    operation,
    shared_responses,
    types_answered,
    types_asked,
)
from service.edge.parameters import told_path
from service.edge.problems import ProblemDetails
from service.edge.question import Described
from service.edge.response import ETAG
from service.edge.schemas import components, query_sets
from service.safety import SAFETY

PATH: Final = Path(__file__).parents[2] / "openapi" / "openapi.json"
VERSION: Final = "2.0"
"""Version of the contract: the second number grows with what is added, see `CHANGELOG.md`."""
_ABOUT: Final = """\
Presetting cutting rings on hydraulic tube: tooling picks, setup checks, press targets and tube
ratings from one versioned catalog. A refusal about the tube is a 200 with a verdict; 4xx is for a
request that is not of our form, or for a step that is not due. A body of a kilobyte or more is sent
in zstd or gzip where `Accept-Encoding` takes it.
"""
_POLICY: Final = """\
**What may change inside `/v1`.** Added at any time: operations, optional fields of questions,
fields of answers, finding codes, words of closed sets in answers, kinds of problem. A client
ignores a field that it does not know, and takes an unknown verdict or severity for the gravest.
Never changed: the meaning of a field or word of a question, a unit, whether a field is required,
the severity of a code. Anything else is `/v2`, beside which `/v1` answers for at least 12 months;
an operation or field that goes away is `deprecated` here, and its answers carry `Deprecation` and
`Sunset`, for all of that time. Forces, texts and rules are no part of the contract: they change
with `Catalog-Revision` and `Ringwright-Rules`, which every answer names. What changed when stands
in `openapi/CHANGELOG.md`.
"""
_TAGS: Final = {
    "questions": "What the bench, the work order and the office ask.",
    "revisions": "Tables that are read, proposed, reported on, approved, activated, withdrawn.",
    "feeds": "What happened, in order, to be asked for again and again.",
    "health": "Whether the service lives and can answer.",
}
_ETAG: Final = ("ETag", ("hash of the body without a coding, and the coding", f"^{ETAG}$"))
_SCHEME: Final = {
    "type": "http",
    "scheme": "bearer",
    "description": (
        "An API key, `rw_<id>_<secret>`. Each scope is given on its own: read, propose, approve, "
        "activate, record. A service may be set up so that reading needs no key."
    ),
}


def document(handlers: tuple[Described, ...]) -> dict[str, Any]:
    """OpenAPI 3.1 document of these handlers."""
    asked: list[Any] = []
    answered: list[Any] = [ProblemDetails]
    queries: list[Any] = []
    for handler in handlers:
        asked += types_asked(handler)
        answered += types_answered(handler)
        queries += [handler.opt["query"]] if "query" in handler.opt else []
    schemas = components(asked, answered) | query_sets(queries)
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
            "version": VERSION,
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
            "description": f"{_ABOUT}\n{' '.join(SAFETY)}\n\n{_POLICY}",
        },
        "servers": [{"url": "/", "description": "the service that serves this document"}],
        "tags": [{"name": name, "description": about} for name, about in _TAGS.items()],
        "paths": dict(sorted(paths.items())),
        "components": {
            "schemas": dict(sorted(schemas.items())),
            "responses": shared_responses(),
            "headers": {name: header(*about) for name, about in (*HEADERS.items(), _ETAG)}
            | {
                name: header(*about) | {"required": False}
                for name, about in (RATE_LIMITS | CODED).items()
            },
            "securitySchemes": {SCHEME: _SCHEME},
        },
    }


def document_bytes(handlers: tuple[Described, ...]) -> bytes:
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
