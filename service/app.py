"""The wiring of the service, and the only one."""

import asyncio
import gc
import logging
import sys
from copy import copy
from pathlib import Path
from typing import Any, NoReturn

from litestar import Litestar, Request
from litestar.datastructures import State

from catalog.index import Index
from catalog.seed import shipped_index, shipped_revision
from service.current import Current, Today, moment, utc_today
from service.edge.access import Keyring
from service.edge.decoding import StrictRequest
from service.edge.doors import doors_of
from service.edge.guard import SYSTEM, Clock, Guard
from service.edge.log import Log
from service.edge.question import Described, Question
from service.edge.wrapper import FAULTS, Wrapper
from service.following import Following
from service.routes.active import activate_revision, read_active
from service.routes.answers import (
    ask_press_target,
    ask_setup_check,
    ask_tooling_pick,
    ask_tube_rating,
    read_vocabulary,
)
from service.routes.asking import Turns
from service.routes.docs import docs_routes
from service.routes.exports import read_file, read_workbook
from service.routes.feeds import read_activations, read_audit, read_withdrawals
from service.routes.health import read_live, read_ready
from service.routes.impact import ask_impact
from service.routes.proposals import propose
from service.routes.reports import read_report, read_report_page, read_whole_report
from service.routes.revisions import read_diff, read_revision, read_revisions, read_table
from service.routes.steps import approve_revision, withdraw_rows
from service.settings import Settings, fixed_day_note, settings_from
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store

API_ROUTES: tuple[Described, ...] = (
    ask_press_target,
    ask_tooling_pick,
    ask_setup_check,
    ask_tube_rating,
    read_vocabulary,
    read_revisions,
    read_revision,
    read_table,
    read_diff,
    read_file,
    read_workbook,
    propose,
    read_report,
    read_whole_report,
    read_report_page,
    approve_revision,
    withdraw_rows,
    ask_impact,
    read_active,
    activate_revision,
    read_activations,
    read_withdrawals,
    read_audit,
    read_live,
    read_ready,
)
"""Handlers that the contract describes."""


def create_app(
    settings: Settings,
    index: Index | None = None,
    today: Today = utc_today,
    *,
    store: Store | None = None,
    keyring: Keyring | None = None,
    clock: Clock = SYSTEM,
    log: Log | None = None,
) -> Wrapper:
    """Service that follows a store; without one it answers from an index that stays as it is.

    That index is the shipped one unless another is given, and there are no keys unless given; what
    asks for a store is then a problem. Requests are written to a log where there is one. Errors:
    `StoreError`, `CompileError` where the store holds nothing that can be served.
    """
    if store is None:
        current = Current(shipped_index() if index is None else index, today, keyring)
    else:
        within_s = settings.follow_within_ms / 1000
        current = Following(store, today, clock.steady_s, settings.max_stale_seconds, within_s)
    app = Litestar(
        [*(_sized(each, settings) for each in API_ROUTES), *docs_routes()],
        request_class=StrictRequest,
        state=State(
            {
                "current": current,
                "store": store,
                "settings": settings,
                "turns": Turns(asyncio.Semaphore(1)),
            }
        ),
        exception_handlers={Exception: _raised},
        openapi_config=None,
        request_max_body_size=settings.max_body_bytes,
        logging_config=None,
    )
    guard = Guard(settings, clock, log)
    doors = doors_of(app.routes)
    return Wrapper(app, current, doors, guard, log_requests=settings.access_log)


def create_served_app() -> Wrapper:
    """Service with the settings of the environment, for any ASGI server that asks for a factory.

    `RINGWRIGHT_DATA` names the folder of the store; several processes may serve one folder. Errors:
    `SettingsError`, and `StoreError`, `CompileError` where the store holds nothing to serve.
    """
    log = Log.to(sys.stderr)
    logging.basicConfig(level=logging.INFO, format="%(message)s", handlers=[log])
    settings = settings_from()
    if note := fixed_day_note(settings):
        FAULTS.warning(note)
    app = create_app(settings, store=served_store(settings), log=log)
    gc.freeze()  # no collection looks at the tables again
    return app


def served_store(settings: Settings) -> Store | None:
    """Store of the folder that the settings name, which begins with the shipped tables."""
    if not settings.data:
        return None
    return open_store(Path(settings.data), seed=shipped_revision, at=moment())


def _sized(handler: Described, settings: Settings) -> Described:
    """Handler as it is, or with the body limit of uploads where it takes them."""
    if isinstance(handler, Question) or not handler.opt.get("upload"):
        return handler
    upload = copy(handler)
    upload.request_max_body_size = settings.max_upload_bytes
    return upload


def _raised(_request: Request[Any, Any, Any], error: Exception) -> NoReturn:
    raise error  # the wrapper answers it, as it answers what is raised outside the framework
