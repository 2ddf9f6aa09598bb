"""What routes ask of the service: the store, the caller, the time, and steps of the office."""

import asyncio
from collections.abc import Callable
from typing import ParamSpec, TypeVar

from catalog.index import Index
from catalog.revision import Revision
from service.current import Current
from service.edge.decoding import StrictRequest
from service.edge.problems import FieldError, ProblemError
from service.office.proposing import stored_revision
from service.office.refused import OfficeError, not_stored
from service.store.store import Store, StoreDamagedError, StoreError

P = ParamSpec("P")
T = TypeVar("T")

CURRENT = "current"
"""Name in a path that stands for the revision that answers now."""


async def done(step: Callable[P, T], *given: P.args, **named: P.kwargs) -> T:
    """What a step of the office or the store gives, done beside the event loop.

    Errors: `ProblemError` for every refusal and for a store that cannot be used.
    """
    try:
        return await asyncio.to_thread(step, *given, **named)
    except OfficeError as error:
        raise problem_of(error) from error
    except StoreError as error:
        raise store_problem(error) from error


def problem_of(error: OfficeError) -> ProblemError:
    """Problem that a refusal of the office is told as."""
    errors = tuple(FieldError(pointer, detail) for pointer, detail in error.errors)
    return ProblemError(error.kind, error.detail, errors, refusals=error.refusals)


def store_problem(error: StoreError) -> ProblemError:
    """Problem that a store which cannot be used is told as."""
    damaged = isinstance(error, StoreDamagedError)
    return ProblemError("store-damaged" if damaged else "store-failed", str(error))


def store_of(request: StrictRequest) -> Store:
    """Store of the service. Errors: `ProblemError` where it runs without one."""
    store: Store | None = request.app.state.store
    if store is None:
        detail = "this service keeps no revisions: start it with --data FOLDER"
        raise ProblemError("store-failed", detail)
    return store


def current_of(request: StrictRequest) -> Current:
    """What the service answers from."""
    current: Current = request.app.state.current
    return current


def replaying_of(request: StrictRequest) -> asyncio.Semaphore:
    """Turn of whoever has a report made: one at a time, the bench needs the other cores."""
    replaying: asyncio.Semaphore = request.app.state.replaying
    return replaying


def caller_of(request: StrictRequest) -> str:
    """Name of the caller; reading may be open to somebody without one."""
    return "anybody" if request.caller is None else request.caller.name


def named(request: StrictRequest, revision: str) -> str:
    """Id that a path names: `current` is the revision that this request is answered from."""
    return request.index.revision if revision == CURRENT else revision


async def tables_of(request: StrictRequest, revision: str) -> Revision:
    """Stored tables of a revision that a path names."""
    return await done(_stored, store_of(request), named(request, revision))


async def index_of(request: StrictRequest, revision: str) -> Index:
    """Index of a stored revision, with its standing at the moment that this request reads."""
    asked = named(request, revision)
    try:
        index = await current_of(request).pinned(request.reading, asked)
    except StoreError as error:
        raise store_problem(error) from error
    if index is None:
        raise problem_of(not_stored(asked))
    return index


def _stored(store: Store, revision: str) -> Revision:
    with store.reading() as records:
        return stored_revision(records, revision)
