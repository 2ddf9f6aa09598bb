"""Paths with and without parameters, and what is known of each before anything is read."""

from pathlib import Path
from typing import Any

import pytest
from litestar import Litestar, WebSocket, get, post, put, websocket
from litestar.handlers.base import BaseRouteHandler
from litestar.params import FromPath
from msgspec import Struct

from service.app import create_app
from service.edge.decoding import StrictRequest
from service.edge.doors import LONGEST_PART, Doors, doors_of
from service.settings import Settings


class Page(Struct):
    limit: int = 10


@get("/v1/things", opt={"scope": "read", "query": Page})
async def read_things() -> None: ...


@post("/v1/things", opt={"scope": "propose"})
async def make_thing() -> None: ...


@get("/v1/things/{thing:str}", opt={"scope": "read"})
async def read_thing(thing: FromPath[str]) -> None: ...


@get("/v1/things/newest", opt={"scope": "open"})
async def read_newest() -> None: ...


@put("/v1/things/{thing:str}/parts/{part:int}", opt={"scope": "activate"})
async def put_part(thing: FromPath[str], part: FromPath[int]) -> None: ...


@get("/v1/forgotten")
async def read_forgotten() -> None: ...


def doors(*handlers: BaseRouteHandler) -> Doors:
    return doors_of(Litestar([*handlers], request_class=StrictRequest, openapi_config=None).routes)


ALL = doors(read_things, make_thing, read_thing, read_newest, put_part, read_forgotten)


@pytest.mark.parametrize(
    ("path", "form"),
    [
        ("/v1/things", "/v1/things"),
        ("/v1/things/a", "/v1/things/{thing:str}"),
        ("/v1/things/sha256:0f", "/v1/things/{thing:str}"),
        ("/v1/things/newest", "/v1/things/newest"),  # a path that is written out comes first
        ("/v1/things/a/parts/0", "/v1/things/{thing:str}/parts/{part:int}"),
        ("/v1/things/a/parts/17", "/v1/things/{thing:str}/parts/{part:int}"),
        ("/v1/things/" + "a" * LONGEST_PART, "/v1/things/{thing:str}"),
        ("/v1/things/" + "a" * (LONGEST_PART + 1), None),
        ("/v1/things/", None),  # a parameter is never nothing
        ("/v1//things", None),
        ("//v1/things", None),
        ("/v1/things/a/", None),
        ("/v1/things/a/b", None),
        ("/v1/things/a/parts/x", None),
        ("/v1/things/a/parts/-1", None),
        ("/v1/things/a/parts/01", None),
        ("/v1/things/a/parts/1\n", None),
        ("/v1/things/a/parts/\u0661", None),  # a digit of another script
        ("/v1/things\n", None),
        ("/V1/things", None),
        ("", None),
    ],
)
def test_a_path_fits_as_it_is_written_and_no_other(path: str, form: str | None) -> None:
    place = ALL.place(path)
    assert (None if place is None else place.form) == form


def test_each_method_has_a_door_of_its_own() -> None:
    place = ALL.place("/v1/things")
    assert place is not None
    assert place.allow == ("GET", "HEAD", "OPTIONS", "POST")
    assert (place.doors["GET"].needs, place.doors["GET"].query) == ("read", Page)
    assert place.doors["HEAD"] == place.doors["GET"]
    assert (place.doors["POST"].needs, place.doors["POST"].query) == ("propose", None)
    assert place.doors["OPTIONS"].needs == "open"
    formed = ALL.place("/v1/things/a/parts/1")
    assert formed is not None
    assert formed.allow == ("OPTIONS", "PUT")
    assert formed.doors["PUT"].needs == "activate"


def test_a_handler_that_says_nothing_is_open_to_nobody() -> None:
    place = ALL.place("/v1/forgotten")
    assert place is not None
    assert place.doors["GET"].needs is None


def test_a_misspelt_scope_ends_the_start() -> None:
    @get("/x", opt={"scope": "raed"})
    async def misspelt() -> None: ...

    with pytest.raises(ValueError, match="`raed`"):
        doors(misspelt)


def test_a_route_that_cannot_be_guarded_ends_the_start() -> None:
    @websocket("/x")
    async def listen(socket: WebSocket[Any, Any, Any]) -> None: ...

    @get("/x/{rest:path}", opt={"scope": "read"})
    async def everything(rest: FromPath[Path]) -> None: ...

    with pytest.raises(ValueError, match="no HTTP route"):
        doors(listen)
    with pytest.raises(ValueError, match="cannot match"):
        doors(everything)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("/x/{a:str}/y", "/x/z/{b:str}"),
        ("/x/{a:str}", "/x/{b:int}"),
        ("/x/{a:str}/{b:str}", "/x/{a:str}/y"),
    ],
)
def test_two_forms_that_fit_one_path_end_the_start(one: str, other: str) -> None:
    @get(one, opt={"scope": "read"})
    async def first(request: StrictRequest) -> None: ...

    @get(other, opt={"scope": "activate"})
    async def second(request: StrictRequest) -> None: ...

    with pytest.raises(ValueError, match="fit the same path"):
        doors(first, second)


def test_the_framework_calls_the_handler_whose_door_was_looked_at() -> None:
    # For every form of the service: the route that the framework takes is the one of the place.
    app = create_app(Settings())
    litestar: Any = app.app
    for place in (*app.doors.exact.values(), *(each for _, each in app.doors.formed)):
        parts = ["1" if "{" in part else part for part in place.form.split("/")]
        path = "/".join(parts)
        assert app.doors.place(path) == place
        for method in set(place.doors) - {"HEAD", "OPTIONS"}:
            scope = {"type": "http", "method": method, "path": path}
            _, handler, *_ = litestar.asgi_router.handle_routing(path=path, method=scope["method"])
            assert place.form in handler.paths
            assert handler.opt.get("scope") == place.doors[method].needs
