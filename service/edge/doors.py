"""What the edge knows of each path and method before anything is read, from the app's own routes.

Denied by default: a handler that says nothing of a scope is open to nobody.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final, Literal, get_args

from litestar.handlers.base import BaseRouteHandler
from litestar.routes import ASGIRoute, BaseRoute, HTTPRoute
from msgspec import Struct

from service.edge.question import Question
from service.store.records import Scope

Needs = Scope | Literal["open"] | None
"""Scope that a caller must have; `open` asks for none, None is what nobody has."""

LONGEST_PART: Final = 200
"""Letters of a part of a path that stands for a parameter."""
_PARTS: Final = {"str": f"[^/]{{1,{LONGEST_PART}}}", "int": "(?:0|[1-9][0-9]{0,17})"}
PARAMETER: Final = re.compile(r"\{([a-z_]+):([a-z]+)\}")
"""Part of a path that stands for a value, as the framework writes it."""
_NEEDS: Final[frozenset[str]] = frozenset((*get_args(Scope), "open"))


class Door(Struct, frozen=True, kw_only=True):
    """One method of one path: who may go in, whether a query is taken, and how often is counted.

    Probes are not counted: a service must not seem dead because a neighbour asks much.
    """

    needs: Needs
    query: type[Struct] | None = None
    throttled: bool = True


class Place(Struct, frozen=True, kw_only=True):
    """One path: its form, a door for each method, and the methods as `Allow` tells them."""

    form: str
    doors: Mapping[str, Door]
    allow: tuple[str, ...]


class Doors(Struct, frozen=True, kw_only=True):
    """All paths of the service; no path fits two of them."""

    exact: Mapping[str, Place]
    formed: tuple[tuple[re.Pattern[str], Place], ...]

    def place(self, path: str) -> Place | None:
        """Place of a path, None where there is nothing."""
        place = self.exact.get(path)
        if place is None:
            for pattern, formed in self.formed:
                if pattern.fullmatch(path):
                    return formed
        return place


def doors_of(routes: Iterable[BaseRoute]) -> Doors:
    """Doors of an app.

    Errors: `ValueError` where a route could not be guarded: it is not HTTP, its scope is misspelt,
    its parameter is of a kind that is not known here, or another one fits the same path.
    """
    exact: dict[str, Place] = {}
    formed: list[tuple[re.Pattern[str], Place]] = []
    for route in routes:
        place = _place(route.path, _methods(route))
        if "{" in route.path:
            formed.append((re.compile(_pattern(route.path)), place))
        else:
            exact[route.path] = place
    _refuse_two_for_one_path([place.form for _, place in formed])
    return Doors(exact=exact, formed=tuple(formed))


def _methods(route: BaseRoute) -> Iterator[tuple[str, BaseRouteHandler]]:
    """Methods of a route with their handlers."""
    if isinstance(route, HTTPRoute):
        for handler in route.route_handlers:
            yield from ((str(method), handler) for method in handler.http_methods)
    elif isinstance(route, ASGIRoute) and isinstance(route.route_handler, Question):
        yield from ((str(method), route.route_handler) for method in Question.http_methods)
    else:
        message = f"`{route.path}` is no HTTP route: the edge cannot guard it"
        raise ValueError(message)  # noqa: TRY004 (one kind of error for all that is not fit)


def _place(path: str, methods: Iterable[tuple[str, BaseRouteHandler]]) -> Place:
    doors: dict[str, Door] = {}
    for method, handler in methods:
        opt = handler.opt
        needs = opt.get("scope")
        if needs is not None and needs not in _NEEDS:
            message = f"`{path}` asks for the scope `{needs}`, which there is not"
            raise ValueError(message)
        throttled = opt.get("throttled", True)
        doors[method] = Door(needs=needs, query=opt.get("query"), throttled=throttled)
    if "GET" in doors:
        doors["HEAD"] = doors["GET"]
    # What methods there are is no secret; the edge answers it itself.
    doors["OPTIONS"] = Door(needs="open")
    return Place(form=path, doors=doors, allow=tuple(sorted(doors)))


def _pattern(path: str) -> str:
    """Pattern of a path as the framework writes it.

    >>> _pattern("/v1/revisions/{revision:str}.zip")
    Traceback (most recent call last):
    ...
    ValueError: `/v1/revisions/{revision:str}.zip` has a part that the edge cannot match
    """
    parts = []
    for part in path.split("/"):
        parameter = PARAMETER.fullmatch(part)
        if parameter is None and "{" not in part:
            parts.append(re.escape(part))
        elif parameter is not None and parameter[2] in _PARTS:
            parts.append(_PARTS[parameter[2]])
        else:
            message = f"`{path}` has a part that the edge cannot match"
            raise ValueError(message)
    return "/".join(parts)


def _refuse_two_for_one_path(forms: list[str]) -> None:
    # INVARIANT: the framework's choice among routes and ours are the same, since there is none. It
    # prefers a fixed part to a parameter and never goes back; were two forms to fit one path, it
    # might call a handler whose door was never looked at.
    for number, one in enumerate(forms):
        for other in forms[number + 1 :]:
            pairs = list(zip(one.split("/"), other.split("/"), strict=False))
            if one.count("/") == other.count("/") and all(
                a == b or "{" in a or "{" in b for a, b in pairs
            ):
                message = f"`{one}` and `{other}` fit the same path"
                raise ValueError(message)
