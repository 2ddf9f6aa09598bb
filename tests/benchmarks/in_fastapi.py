"""The same press target as a service in FastAPI would give it, with nothing around it.

pydantic takes the body; the catalog decides; msgspec encodes. No key, limit, digest, log,
store or revised table. The Struct is decoded from the same bytes once more, which costs less than
to convert what pydantic made.
"""

from datetime import UTC, datetime
from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

import msgspec
from msgspec import NODEFAULT, Struct, UnsetType

from catalog.answers.press_target import press_target
from catalog.questions import PressTargetQuestion, Received
from catalog.seed import shipped_index


def create_app() -> Any:
    """The application; FastAPI is of the dependency group `benchmark` alone."""
    from fastapi import Body, FastAPI, Request, Response

    index, decode = shipped_index(), msgspec.json.Decoder(PressTargetQuestion).decode

    async def ask(data: Any, request: Any) -> Any:
        question = decode(await request.body())
        received = Received(on=datetime.now(UTC).date())
        answer = press_target(index, question, received=received)
        return Response(msgspec.json.encode(answer), media_type="application/json")

    ask.__annotations__ = {
        "data": Annotated[model(PressTargetQuestion), Body()],
        "request": Request,
    }
    app = FastAPI(openapi_url=None)
    app.add_api_route("/v1/press-targets", ask, methods=["POST"], response_model=None)
    return app


@cache
def model(of: type[Struct]) -> Any:
    """Model of pydantic with the fields of a Struct, and no others."""
    from pydantic import ConfigDict, create_model

    kinds = get_type_hints(of)
    fields: dict[str, Any] = {
        each.name: (_kind(kinds[each.name]), ... if each.default is NODEFAULT else None)
        for each in msgspec.structs.fields(of)
    }
    return create_model(of.__name__, __config__=ConfigDict(extra="forbid"), **fields)


def _kind(kind: Any) -> Any:
    """Type of a field as pydantic knows it: what may be left out is None."""
    if get_origin(kind) in {Union, UnionType}:
        return Union[tuple(None if k is UnsetType else _kind(k) for k in get_args(kind))]  # noqa: UP007
    if get_origin(kind) is tuple:
        return tuple[_kind(get_args(kind)[0]), ...]  # type: ignore[misc]
    if isinstance(kind, type) and issubclass(kind, Struct):
        return model(kind)
    return kind
