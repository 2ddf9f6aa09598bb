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
from service.edge.problems import MEDIA_TYPE, TITLES, ProblemDetails

PATH: Final = Path(__file__).parents[2] / "openapi" / "openapi.json"
EXAMPLES: Final = PATH.parent / "examples"
_REF: Final = "#/components/schemas/{name}"
_PROBLEMS: Final[dict[str, tuple[str, ...]]] = {
    "GET": ("query", "changed", "internal"),
    "POST": (
        "not-json",
        "query",
        "revision-not-found",
        "too-large",
        "media-type",
        "not-our-form",
        "internal",
    ),
}
_HEADERS: Final[dict[str, tuple[str, str]]] = {
    "Catalog-Revision": ("content address of the tables that answer", "^sha256:[0-9a-f]{64}$"),
    "Ringwright-Rules": ("version of the rules that answer", "^[0-9]+$"),
    "Content-Digest": ("digest of the body (RFC 9530)", "^sha-256=:[A-Za-z0-9+/]{43}=:$"),
    "X-Request-Id": ("id of this request in the log", "^[A-Za-z0-9._-]{1,64}$"),
}
_ETAG: Final = ("ETag", ("hash of the body", '^"[0-9a-f]{64}"$'))


def document(handlers: tuple[HTTPRouteHandler, ...]) -> dict[str, Any]:
    """OpenAPI 3.1 document of these handlers."""
    types: list[Any] = [ProblemDetails]
    for handler in handlers:
        types += [t for t in (_asked(handler), _answered(handler)) if t is not None]
    _, components = msgspec.json.schema_components(types, ref_template=_REF)
    for schema in components.values():
        if "description" in schema:
            schema["description"] = inspect.cleandoc(schema["description"])
    paths: dict[str, Any] = {}
    for handler in handlers:
        path = min(handler.paths)
        for method in sorted(handler.http_methods - {"OPTIONS", "HEAD"}):
            paths.setdefault(path, {})[method.lower()] = _operation(handler, method)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Ringwright",
            "version": f"1.{RULES_VERSION}",
            "license": {"name": "Apache-2.0", "identifier": "Apache-2.0"},
            "description": (
                "Presetting cutting rings on hydraulic tube: tooling picks, setup checks, press "
                "targets and tube ratings from one versioned catalog. A refusal about the tube is "
                "a 200 with a verdict; 4xx is for a request that is not of our form. The fitting "
                "maker's instructions, local codes and licensed practice come first."
            ),
        },
        "servers": [{"url": "/"}],
        "paths": dict(sorted(paths.items())),
        "components": {
            "schemas": dict(sorted(components.items())),
            "headers": {name: _header(*about) for name, about in (*_HEADERS.items(), _ETAG)},
        },
    }


def document_bytes(handlers: tuple[HTTPRouteHandler, ...]) -> bytes:
    """Document as it is committed."""
    return (json.dumps(document(handlers), indent=1, ensure_ascii=False) + "\n").encode()


def _operation(handler: HTTPRouteHandler, method: str) -> dict[str, Any]:
    summary, _, description = (inspect.getdoc(handler.fn) or "").partition("\n")
    operation: dict[str, Any] = {
        "operationId": handler.operation_id,
        "summary": summary.strip().rstrip("."),
        "responses": {"200": _answer(handler, method)},
    }
    if description.strip():
        operation["description"] = " ".join(description.split())
    asked = _asked(handler)
    if asked is not None:
        schema, _ = msgspec.json.schema_components([asked], ref_template=_REF)
        content: dict[str, Any] = {"schema": schema[0]}
        if examples := _examples(str(handler.operation_id)):
            content["examples"] = examples
        operation["requestBody"] = {"required": True, "content": {"application/json": content}}
    operation["responses"] |= _problems(method)
    if method == "GET":
        operation["responses"]["304"] = {
            "description": "the body is as the caller has it",
            "headers": _header_refs(("ETag",)),
        }
    return operation


def _problems(method: str) -> dict[str, Any]:
    """Responses of a method that are problems, by status; one status may have several reasons."""
    reasons: dict[str, list[str]] = {}
    for kind in _PROBLEMS[method]:
        status, title = TITLES[kind]
        reasons.setdefault(str(status.value), []).append(title)
    return {
        status: {
            "description": ", or ".join(titles),
            "headers": _header_refs(()),
            "content": {MEDIA_TYPE: {"schema": {"$ref": _REF.format(name="ProblemDetails")}}},
        }
        for status, titles in reasons.items()
    }


def _answer(handler: HTTPRouteHandler, method: str) -> dict[str, Any]:
    schema, _ = msgspec.json.schema_components([_answered(handler)], ref_template=_REF)
    more = ("ETag",) if method == "GET" else ()
    return {
        "description": "the answer",
        "headers": _header_refs(more),
        "content": {"application/json": {"schema": schema[0]}},
    }


def _examples(operation: str) -> dict[str, Any]:
    """Requests of `openapi/examples` for an operation that are answered."""
    found = {}
    for file in sorted(EXAMPLES.glob("*.json")):
        example = json.loads(file.read_text(encoding="utf-8"))
        if example["operation"] == operation and example["expect"]["status"] == 200:
            found[file.stem] = {"summary": example["name"], "value": example["body"]}
    return found


def _asked(handler: HTTPRouteHandler) -> Any:
    field = handler.parsed_data_field
    return None if field is None else field.annotation


def _answered(handler: HTTPRouteHandler) -> Any:
    return handler.parsed_return_field.annotation


def _header(about: str, pattern: str) -> dict[str, Any]:
    return {
        "description": about,
        "required": True,
        "schema": {"type": "string", "pattern": pattern},
    }


def _header_refs(more: tuple[str, ...]) -> dict[str, Any]:
    return {name: {"$ref": f"#/components/headers/{name}"} for name in (*_HEADERS, *more)}


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
