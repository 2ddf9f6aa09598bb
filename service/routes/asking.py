"""What routes ask of the service: the store, the caller, the time, and steps of the office."""

import asyncio
import logging
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Concatenate, Final, ParamSpec, TypeVar

from msgspec import UNSET, Struct

from catalog.compiling import CompileError
from catalog.index import Index
from catalog.questions import Received
from catalog.revision import Revision
from service.current import Current
from service.edge.access import CHALLENGE, bad_key, still_held
from service.edge.decoding import StrictRequest
from service.edge.problems import FieldError, ProblemError
from service.office.proposing import stored_revision
from service.office.refused import OfficeError, not_stored
from service.office.replaying import ReplayError
from service.settings import Settings
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreDamagedError, StoreError

P = ParamSpec("P")
T = TypeVar("T")

LOG: Final = logging.getLogger("ringwright.faults")
MOST_WAITING: Final = 8
"""Reports that are made or waited for at once."""
RETRY_AFTER_S: Final = 5
"""Seconds after which to ask again, where the store cannot be read."""
CURRENT = "current"
"""Name in a path that stands for the revision that answers now."""


class Turns(Struct):
    """Who makes a report, and how many wait or do."""

    one: asyncio.Semaphore
    waiting: int = 0


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
    except ReplayError as error:
        LOG.exception("a report was not made")
        detail = "the report could not be made, and nothing was kept: see the log, and try again"
        raise ProblemError("report-failed", detail) from error


async def read(
    request: StrictRequest,
    step: Callable[Concatenate[Records, P], T],
    *given: P.args,
    **named: P.kwargs,
) -> T:
    """What a step reads of the store, all of it from one moment. Errors: as `done`."""

    def reading(store: Store) -> T:
        with store.reading() as records:
            return step(records, *given, **named)

    return await done(reading, store_of(request))


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


def received_of(request: StrictRequest) -> Received:
    """Day on which the service has received a request: its own, by the clock or as it is fixed."""
    settings: Settings = request.app.state.settings
    if settings.day is not UNSET:
        return Received(on=settings.day, fixed=True)
    return Received(on=current_of(request).today())


@asynccontextmanager
async def turn(request: StrictRequest) -> AsyncIterator[None]:
    """Turn of whoever has a report made: one at a time, the bench needs the other cores.

    Errors: `ProblemError` `too-many` where enough others wait already.
    """
    turns: Turns = request.app.state.turns
    if turns.waiting >= MOST_WAITING:
        detail = f"{turns.waiting} others wait for a report: try again in a minute"
        raise ProblemError("too-many", detail, headers=(("retry-after", "60"),))
    turns.waiting += 1
    try:
        async with turns.one:
            yield
    finally:
        turns.waiting -= 1


async def caller_of(request: StrictRequest) -> str:
    """Name of whoever takes a step, asked just before it is taken.

    Errors: `ProblemError` `no-key` where nobody gave one, `bad-key` where it was revoked
    meanwhile: tables may have been looked at for seconds since the request began.
    """
    current = current_of(request)
    await current.latest()
    caller = request.caller
    if caller is None:
        detail = "this is kept under a name: send `Authorization: Bearer` and a key"
        raise ProblemError("no-key", detail, headers=CHALLENGE)
    if not still_held(current.keyring, caller, time.time()):
        raise bad_key()
    return caller.name


def written(revision: str) -> str:
    """Id in the path of a step that writes. Errors: `ProblemError` for `current`.

    What is current may change between reading and writing, so a step names what it is about.
    """
    if revision == CURRENT:
        detail = "name the revision itself: `current` may be another by the time this is done"
        raise ProblemError("conflict", detail)
    return revision


def named(request: StrictRequest, revision: str) -> str:
    """Id that a path names: `current` is the revision that this request is answered from."""
    return request.index.revision if revision == CURRENT else revision


async def tables_of(request: StrictRequest, revision: str) -> Revision:
    """Stored tables of a revision that a path names."""
    return await read(request, stored_revision, named(request, revision))


def refuse_outdated(request: StrictRequest) -> None:
    """Raise `store-failed` where the store could not be read for too long to answer a question."""
    if request.reading.outdated:
        retry = ("retry-after", str(RETRY_AFTER_S))
        raise ProblemError("store-failed", request.reading.outdated, headers=(retry,))


async def index_of(request: StrictRequest, revision: str) -> Index:
    """Index of a stored revision, with its standing at the moment that this request reads."""
    asked = named(request, revision)
    try:
        index = await current_of(request).pinned(request.reading, asked)
    except StoreError as error:
        raise store_problem(error) from error
    except CompileError as error:
        detail = f"`{asked}` cannot answer by the rules of today: {error.faults[0].message}"
        raise ProblemError("conflict", detail) from error
    if index is None:
        raise problem_of(not_stored(asked))
    return index
