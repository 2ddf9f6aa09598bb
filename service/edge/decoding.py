"""Bodies decoded strictly: JSON of our form, or a problem that names everything that is wrong."""

import asyncio
import functools
from collections.abc import Iterable
from itertools import chain
from typing import Any, Final, NoReturn

import msgspec
from litestar import Request
from litestar.datastructures import State

from catalog.index import Index
from service.edge.doubled import doubled_names, may_be_doubled
from service.edge.form import errors_of
from service.edge.problems import FieldError, ProblemError
from service.edge.unreadable import why_unreadable

MOST_TOLD: Final = 200
"""Errors that one problem tells; it says how many there are."""
MOST_TOLD_LETTERS: Final = 65_536
"""Letters of pointers and details after which no more errors are told."""
MOST_COUNTED: Final = 1000
"""Errors that are counted: a body made to be wrong must not keep the service busy."""
LARGE_BYTES: Final = 65_536
"""Size from which a body is decoded beside the event loop, so that others are answered."""

_UNREADABLE: Final = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)


class StrictRequest(Request[Any, Any, State]):
    """A request whose JSON is decoded to the type of its handler, with nothing let pass.

    Litestar converts laxly (text passes for a number); a value that is of the type already goes
    through its conversion untouched.
    """

    @property
    def index(self) -> Index:
        """Index that this request is answered from: the edge has read it, once."""
        index: Index = self.scope["state"]["index"]
        return index

    async def json(self) -> Any:
        """Body as the type that the handler asks for."""
        refuse_other_media(
            self.headers.get("content-type", ""), self.headers.get("content-encoding", "")
        )
        field = self.route_handler.parsed_data_field
        kind = Any if field is None else field.annotation
        body = await self.body()
        if len(body) > LARGE_BYTES:
            return await asyncio.to_thread(decoded, body, kind)
        return decoded(body, kind)


def refuse_other_media(content_type: str, encoding: str) -> None:
    """Raise a problem unless the body is declared as plain JSON."""
    if content_type == "application/json" and not encoding:
        return
    kind, _, parameters = content_type.partition(";")
    if kind.strip().lower() != "application/json":
        named = f"`{content_type}`" if content_type else "no Content-Type"
        raise ProblemError("media-type", f"{named} is given: send `application/json`")
    charset = parameters.strip().lower().replace('"', "")
    if charset and charset != "charset=utf-8":
        raise ProblemError("media-type", f"`{parameters.strip()}` is given: send UTF-8")
    if encoding.strip().lower() not in {"", "identity"}:
        raise ProblemError("media-type", f"`{encoding}` is given: send the body uncompressed")


def decoded(body: bytes, kind: Any) -> Any:
    """Value of a type from JSON bytes.

    Errors: `ProblemError`, `not-json` where the bytes are no JSON, else `not-our-form` with every
    error and its pointer.
    """
    try:
        value = _decoder(kind).decode(body)
        if not may_be_doubled(body):
            return value
    except msgspec.ValidationError:
        pass
    except _UNREADABLE as error:
        _refuse_text(body, error)
    try:
        return _slowly(body, kind)
    except _UNREADABLE as error:
        _refuse_text(body, error)


def _slowly(body: bytes, kind: Any) -> Any:
    """Second try after the fast one failed: whole numbers such as 384.0 count, as JSON has it."""
    value = _whole(msgspec.json.decode(body))
    result: Any = None
    errors: Iterable[FieldError] = ()
    try:
        result = msgspec.convert(value, kind)
    except msgspec.ValidationError:
        errors = errors_of(value, kind)
    _refuse_form(chain(errors, doubled_names(body)))
    return result


def _refuse_text(body: bytes, error: Exception) -> NoReturn:
    raise ProblemError("not-json", why_unreadable(body, error)) from error


def _refuse_form(errors: Iterable[FieldError]) -> None:
    """Raise the problem of these errors; nothing where there are none."""
    told: list[FieldError] = []
    count = letters = 0
    for error in errors:
        if count == MOST_COUNTED:
            raise _form_problem(told, count, "more than ")
        count += 1
        if len(told) < MOST_TOLD and letters < MOST_TOLD_LETTERS:
            told.append(error)
            letters += len(error.pointer) + len(error.detail)
    if count:
        raise _form_problem(told, count)


def _form_problem(told: list[FieldError], count: int, over: str = "") -> ProblemError:
    detail = f"{over}{count} error{'s' if count != 1 else ''}"
    if len(told) < count:
        detail += f", the first {len(told)} are told"
    return ProblemError("not-our-form", detail, tuple(told), error_count=count)


def _whole(value: Any) -> Any:
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        return int(value)
    if isinstance(value, list):
        return [_whole(each) for each in value]
    if isinstance(value, dict):
        return {name: _whole(each) for name, each in value.items()}
    return value


@functools.cache
def _decoder(kind: Any) -> msgspec.json.Decoder[Any]:
    return msgspec.json.Decoder(kind)
