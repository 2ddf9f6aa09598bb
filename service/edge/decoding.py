"""Bodies decoded strictly: JSON of our form, or a problem that names everything that is wrong."""

import asyncio
import functools
from collections.abc import Iterable
from itertools import chain
from typing import Any, Final, NoReturn, TypeVar

import msgspec
from litestar import Request
from litestar.datastructures import State
from msgspec import structs

from catalog.index import Index
from service.current import Reading
from service.edge.access import Caller
from service.edge.form import errors_of
from service.edge.json_text import doubled_names, may_be_doubled, why_unreadable
from service.edge.parts import parts_of
from service.edge.problems import FieldError, ProblemError, refuse_if_any
from service.edge.query import asked

LARGE_BYTES: Final = 65_536
"""Size from which a body is decoded beside the event loop, so that others are answered."""

S = TypeVar("S", bound=msgspec.Struct)

_UNREADABLE: Final = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)


class StrictRequest(Request[Any, Any, State]):
    """A request whose body is read by the service, with nothing let pass.

    Litestar converts laxly: text passes for a number.
    """

    @property
    def reading(self) -> Reading:
        """What this request is answered from: the edge has read it, once."""
        reading: Reading = self.scope["state"]["reading"]
        return reading

    @property
    def index(self) -> Index:
        """Index that this request is answered from."""
        return self.reading.index

    def answer_from(self, index: Index) -> None:
        """Answer from a pinned index instead, and name it in the headers."""
        self.scope["state"]["reading"] = structs.replace(self.reading, index=index)

    @property
    def caller(self) -> Caller | None:
        """Who asks; None where the path is open and no key was given."""
        caller: Caller | None = self.scope["state"]["caller"]
        return caller

    def asked(self, kind: type[S]) -> S:
        """Query as the Struct that the handler declares by `opt={"query": ...}`.

        Errors: `ProblemError` `query` with everything that is wrong.
        """
        return asked(self.scope["query_string"], kind)

    async def parts(self) -> tuple[dict[str, str], dict[str, bytes]]:
        """Texts by their field and files by their own names, of a multipart/form-data body.

        For a handler with `opt={"upload": True}`, whose body may be longer.
        """
        refuse_other_coding(self.headers.get("content-encoding", ""))
        body = await self.body()
        return await asyncio.to_thread(parts_of, body, self.headers.get("content-type", ""))

    async def question(self, kind: type[S]) -> S:
        """Body as a Struct.

        Errors: `ProblemError` `too-large`, `media-type`, `not-json`, `not-our-form`.
        """
        given = dict(reversed([*self.scope["headers"]]))  # of two the first
        body = await self._whole(given.get(b"content-length", b""))
        if body:
            refuse_other_media(
                given.get(b"content-type", b"").decode("latin-1"),
                given.get(b"content-encoding", b"").decode("latin-1"),
            )
        large = len(body) > LARGE_BYTES
        read = await asyncio.to_thread(decoded, body, kind) if large else decoded(body, kind)
        question: S = read
        return question

    async def _whole(self, length: bytes) -> bytes:
        most = self.app.state.settings.max_body_bytes
        announced = int(length[:19]) if length.isdigit() else 0
        parts: list[bytes] = []
        size, more = 0, True
        while more and max(announced, size) <= most:
            message: Any = await self.receive()
            parts.append(message.get("body", b""))
            size += len(parts[-1])
            more = message.get("more_body", False)
        if max(announced, size) > most:
            raise ProblemError("too-large", f"the body is over {most} bytes")
        return b"".join(parts)


def refuse_other_media(content_type: str, encoding: str, files: str = "") -> None:
    """Raise a problem unless the body is declared as plain JSON.

    `files` is what else the path takes, for a caller who sent a bare file.
    """
    if content_type == "application/json" and not encoding:
        return
    kind, _, parameters = content_type.partition(";")
    if kind.strip().lower() != "application/json":
        named = f"`{content_type}`" if content_type else "no Content-Type"
        raise ProblemError("media-type", f"{named} is given: send `application/json`{files}")
    charset = parameters.strip().lower().replace('"', "")
    if charset and charset != "charset=utf-8":
        raise ProblemError("media-type", f"`{parameters.strip()}` is given: send UTF-8")
    refuse_other_coding(encoding)


def refuse_other_coding(encoding: str) -> None:
    """Raise a problem where the body is compressed: its limit holds for what it is."""
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
    refuse_if_any(chain(errors, doubled_names(body)), "not-our-form")
    return result


def _refuse_text(body: bytes, error: Exception) -> NoReturn:
    raise ProblemError("not-json", why_unreadable(body, error)) from error


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
