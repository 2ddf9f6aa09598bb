"""Parameters of paths and queries as the contract tells them: what the service refuses, it says."""

from collections.abc import Mapping
from typing import Any, Final

import msgspec

from service.edge.doors import LONGEST_PART, PARAMETER
from service.edge.question import Described
from service.edge.schemas import query_schemas

_PARTS: Final[Mapping[str, dict[str, Any]]] = {
    "str": {"type": "string", "minLength": 1, "maxLength": LONGEST_PART, "pattern": "^[^/]+$"},
    "int": {"type": "integer", "format": "int64", "minimum": 0, "maximum": 10**18 - 1},
}
_NAMED: Final[Mapping[str, str]] = {
    "revision": "id of a stored revision; `current` to read the active one",
    "other": "id of the revision that it is compared with",
}
"""Parts of a path that mean the same everywhere."""


def told_path(path: str) -> str:
    """Path of a handler as the contract writes it.

    >>> told_path("/v1/revisions/{revision:str}/tables/{table:str}")
    '/v1/revisions/{revision}/tables/{table}'
    """
    return PARAMETER.sub(r"{\1}", path)


def parameters(handler: Described, path: str) -> list[dict[str, Any]]:
    """Parameters of a handler, those of its path first.

    `opt={"path": {"table": Literal[...]}}` says more of a part of the path than that it is text.
    """
    kinds: Mapping[str, Any] = handler.opt.get("path", {})
    found = []
    for name, kind in PARAMETER.findall(path):
        told = dict(_PARTS[kind])
        if name in kinds:
            (schema,), _ = msgspec.json.schema_components([kinds[name]])
            told = _given(schema)
        if name in _NAMED:
            told["description"] = _NAMED[name]
        found.append(_parameter(name, "path", told))
    headers: Mapping[str, tuple[str, str]] = handler.opt.get("headers", {})
    for name, (about, pattern) in headers.items():
        schema = {"type": "string", "pattern": pattern, "description": about}
        found.append(_parameter(name, "header", schema, required=False))
    query: type[msgspec.Struct] | None = handler.opt.get("query")
    if query is not None:
        schemas, needed = query_schemas(query)
        for name, schema in schemas.items():
            found.append(_parameter(name, "query", _given(schema), required=name in needed))
    return found


def _parameter(
    name: str, where: str, schema: dict[str, Any], *, required: bool = True
) -> dict[str, Any]:
    told: dict[str, Any] = {"name": name, "in": where, "required": required}
    if "description" in schema:
        told["description"] = schema.pop("description")
    return {**told, "schema": schema}


def _given(schema: dict[str, Any]) -> dict[str, Any]:
    """Schema of a value that is given: never null, and no text without a letter."""
    schema = dict(schema)
    if schema.get("default", 0) is None:
        del schema["default"]
    kinds = [each for each in schema.get("anyOf", ()) if each != {"type": "null"}]
    if len(kinds) == 1:
        del schema["anyOf"]
        schema |= kinds[0]
    if schema.get("type") == "string" and "format" not in schema:
        schema["minLength"] = max(1, schema.get("minLength", 1))
    return schema
