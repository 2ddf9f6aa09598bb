"""The wiring of the service, and the only one."""

import logging
from typing import Any

from litestar import Litestar, Request, Response
from litestar.datastructures import State
from litestar.exceptions import HTTPException, ValidationException

from catalog.index import Index
from catalog.seed import shipped_index
from service.current import Current, Today, utc_today
from service.edge.decoding import StrictRequest
from service.edge.problems import MEDIA_TYPE, ProblemError
from service.edge.wrapper import FAULTS, GONE, INTERNAL, GoneError, Wrapper
from service.routes.answers import (
    ask_press_target,
    ask_setup_check,
    ask_tooling_pick,
    ask_tube_rating,
)
from service.routes.docs import docs_routes
from service.routes.health import read_live, read_ready
from service.routes.vocabulary import read_vocabulary
from service.settings import Settings, settings_from

API_ROUTES = (
    ask_press_target,
    ask_tooling_pick,
    ask_setup_check,
    ask_tube_rating,
    read_vocabulary,
    read_live,
    read_ready,
)
"""Handlers that the contract describes."""


def create_app(settings: Settings, index: Index | None = None, today: Today = utc_today) -> Wrapper:
    """Service over an index, the shipped one unless another is given."""
    current = Current(index=shipped_index() if index is None else index, today=today)
    app = Litestar(
        [*API_ROUTES, *docs_routes()],
        request_class=StrictRequest,
        state=State({"current": current}),
        exception_handlers={
            ProblemError: _problem,
            HTTPException: _refused,
            GoneError: _gone,
            Exception: _failed,
        },
        openapi_config=None,
        request_max_body_size=settings.max_body_bytes,
        logging_config=None,
    )
    methods = {
        route.path: {str(m) for m in route.methods} - {"OPTIONS"}
        for route in app.routes
        if route.path != "/*"
    }
    return Wrapper(app, current, methods, log=settings.access_log)


def create_served_app() -> Wrapper:
    """Service with the settings of the environment, for any ASGI server that asks for a factory."""
    logging.basicConfig(level=logging.INFO, format="%(message)s")
    return create_app(settings_from())


def _problem(request: Request[Any, Any, Any], error: ProblemError) -> Response[bytes]:
    return _response(request, error)


def _refused(request: Request[Any, Any, Any], error: HTTPException) -> Response[bytes]:
    if error.status_code == 413:
        limit = request.app.request_max_body_size
        return _response(request, ProblemError("too-large", f"the body is over {limit} bytes"))
    if isinstance(error, ValidationException):  # the framework found no body to decode
        detail = "the body is empty: send a JSON object"
        return _response(request, ProblemError("not-json", detail))
    if error.status_code >= 500:
        return _failed(request, error)
    return _response(request, ProblemError("bad-request", error.detail))


def _gone(_request: Request[Any, Any, Any], _error: GoneError) -> Response[bytes]:
    return Response(b"", status_code=GONE)


def _failed(request: Request[Any, Any, Any], error: Exception) -> Response[bytes]:
    FAULTS.error("request %s failed", request.state.request_id, exc_info=error)
    return _response(request, ProblemError("internal", INTERNAL))


def _response(request: Request[Any, Any, Any], problem: ProblemError) -> Response[bytes]:
    return Response(
        problem.body(request.state.request_id),
        status_code=problem.status,
        media_type=MEDIA_TYPE,
        headers=dict(problem.headers),
    )
