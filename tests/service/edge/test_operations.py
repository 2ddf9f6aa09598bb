"""The contract tells what an operation takes and answers, whom it lets in and what it refuses."""

from typing import Annotated, Any, Literal

import pytest
from litestar import Litestar, Response, get, post, put
from litestar.handlers import HTTPRouteHandler
from litestar.params import FromPath
from msgspec import UNSET, Meta, Struct, UnsetType, field
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.edge.contract import document
from service.edge.decoding import StrictRequest

Table = Literal["sizes", "targets"]


class ThingQuery(Struct, frozen=True, kw_only=True):
    limit: Annotated[int, Meta(ge=1, le=1000, description="how many")] = 100
    after: Annotated[int, Meta(ge=0)]
    name: Annotated[str, Meta(max_length=9)] | None = None
    table: Table | UnsetType = UNSET
    whole: bool = False
    start: str | UnsetType = field(name="from", default=UNSET)


class Thing(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    name: Annotated[str, Meta(max_length=9)]


class Made(Struct, frozen=True, kw_only=True):
    """What was made."""

    number: int


class Whole(Struct, frozen=True, kw_only=True):
    """All of it."""

    things: tuple[Made, ...]


@get(
    "/v1/things/{thing:str}/tables/{table:str}/{n:int}",
    operation_id="read",
    opt={
        "scope": "read",
        "query": ThingQuery,
        "path": {"table": Table},
        "answers": {"text/csv": "a line a row", "application/octet-stream": "a file"},
        "problems": ("store-damaged", "store-failed"),
    },
)
async def read_thing(thing: FromPath[str], table: FromPath[str], n: FromPath[int]) -> Made:
    """Read a table.

    As JSON or
    as CSV.
    """
    return Made(number=n)


@put(
    "/v1/things/{thing:str}",
    operation_id="put",
    opt={
        "scope": "activate",
        "asks": Thing,
        "problems": ("conflict", "changed", "expected-missing"),
    },
)
async def put_thing(thing: FromPath[str]) -> Made:
    """Put a thing."""
    return Made(number=1)


@post(
    "/v1/things",
    operation_id="make",
    opt={
        "scope": "propose",
        "upload": True,
        "asks": Thing,
        "takes": {"multipart/form-data": "a file a table", "text/csv": "one table"},
        "answers": Whole,
        "also": {200: "looked at, and not kept"},
    },
)
async def make_thing(request: StrictRequest) -> Response[bytes]:
    """Make a thing."""
    return Response(b"{}")


@get("/health", operation_id="health", opt={"scope": "open", "throttled": False})
async def read_health() -> Made:
    """Whether it lives."""
    return Made(number=1)


HANDLERS: tuple[HTTPRouteHandler, ...] = (read_thing, put_thing, make_thing, read_health)


@pytest.fixture(scope="module")
def told() -> dict[str, Any]:
    Litestar([*HANDLERS], request_class=StrictRequest, openapi_config=None)
    return document(HANDLERS)


def operation(told: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(
        each
        for methods in told["paths"].values()
        for each in methods.values()
        if each["operationId"] == name
    )
    return found


def test_it_is_a_valid_document(told: dict[str, Any]) -> None:
    assert [str(error) for error in OpenAPIV31SpecValidator(told).iter_errors()] == []
    assert {path: sorted(methods) for path, methods in told["paths"].items()} == {
        "/health": ["get"],
        "/v1/things": ["post"],
        "/v1/things/{thing}": ["put"],
        "/v1/things/{thing}/tables/{table}/{n}": ["get"],
    }


def test_parameters_have_the_bounds_that_hold(told: dict[str, Any]) -> None:
    found = {p["name"]: p for p in operation(told, "read")["parameters"]}
    assert {(p["name"], p["in"], p["required"]) for p in found.values()} == {
        ("thing", "path", True),
        ("table", "path", True),
        ("n", "path", True),
        ("limit", "query", False),
        ("after", "query", True),
        ("name", "query", False),
        ("table", "query", False),
        ("whole", "query", False),
        ("from", "query", False),
    } - {("table", "path", True)}
    assert found["thing"]["schema"]["minLength"] == 1
    assert found["thing"]["schema"]["maxLength"] == 200
    assert found["n"]["schema"] == {
        "type": "integer",
        "format": "int64",
        "minimum": 0,
        "maximum": 10**18 - 1,
    }
    assert found["limit"]["description"] == "how many, at least 1 and at most 1000"
    assert found["limit"]["schema"] == {
        "type": "integer",
        "format": "int32",
        "minimum": 1,
        "maximum": 1000,
        "default": 100,
    }
    # Nothing is said by leaving it out, never by null or by an empty text.
    assert found["name"]["schema"] == {"type": "string", "minLength": 1, "maxLength": 9}
    assert found["from"]["schema"] == {"type": "string", "minLength": 1}
    in_query = {p["name"]: p for p in operation(told, "read")["parameters"] if p["in"] == "query"}
    assert in_query["table"]["schema"] == {"$ref": "#/components/schemas/Table"}
    named = {"title": "Table", "type": "string", "enum": ["sizes", "targets"]}
    assert told["components"]["schemas"]["Table"] == named
    assert found["whole"]["schema"] == {"type": "boolean", "default": False}
    in_path = [p for p in operation(told, "read")["parameters"] if p["in"] == "path"]
    assert [p["name"] for p in in_path] == ["thing", "table", "n"]
    assert in_path[1]["schema"] == {"enum": ["sizes", "targets"]}


def test_who_may_ask_is_told(told: dict[str, Any]) -> None:
    scheme = told["components"]["securitySchemes"]["key"]
    assert (scheme["type"], scheme["scheme"]) == ("http", "bearer")
    assert operation(told, "put")["security"] == [{"key": ["activate"]}]
    assert operation(told, "read")["security"] == [{"key": ["read"]}, {}]  # may be opened
    assert operation(told, "health")["security"] == []


@pytest.mark.parametrize(
    ("name", "statuses"),
    [
        ("health", "200 304 400 412 500"),
        ("read", "200 304 400 401 403 404 412 429 500 503"),
        ("put", "200 400 401 403 404 408 409 412 413 415 422 428 429 500"),
        ("make", "200 201 400 401 403 408 413 415 422 429 500"),
    ],
)
def test_every_status_that_can_come_is_told(told: dict[str, Any], name: str, statuses: str) -> None:
    responses = operation(told, name)["responses"]
    assert sorted(responses) == statuses.split()
    for status, named in responses.items():
        response = named
        if "$ref" in named:
            response = told["components"]["responses"][named["$ref"].rpartition("/")[2]]
        assert response["description"]
        if status >= "400":
            assert list(response["content"]) == ["application/problem+json"]
        again = {"Retry-After"}
        more = {"401": {"WWW-Authenticate"}, "429": again, "503": again}.get(status, set())
        assert more <= set(response["headers"])


def test_bodies_and_answers_of_other_kinds_are_told(told: dict[str, Any]) -> None:
    made = operation(told, "make")
    body = made["requestBody"]
    assert set(body["content"]) == {"application/json", "multipart/form-data", "text/csv"}
    assert body["content"]["application/json"]["schema"] == {"$ref": "#/components/schemas/Thing"}
    assert body["content"]["text/csv"]["schema"] == {"type": "string"}
    assert "one table" in body["description"]
    for status in ("200", "201"):
        content = made["responses"][status]["content"]
        assert content == {"application/json": {"schema": {"$ref": "#/components/schemas/Whole"}}}
    assert made["responses"]["200"]["description"] == "looked at, and not kept"
    assert {"Thing", "Whole", "Made", "ProblemDetails"} <= set(told["components"]["schemas"])
    answer = operation(told, "read")["responses"]["200"]
    assert set(answer["content"]) == {"application/json", "text/csv", "application/octet-stream"}
    assert "a line a row" in answer["description"]
    assert operation(told, "read")["description"] == "As JSON or as CSV."
