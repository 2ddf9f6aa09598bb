"""Bodies decoded strictly: JSON of our form, or a problem that names everything that is wrong."""

import functools
import json
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, Final, NoReturn

import msgspec
from litestar import Request
from litestar.datastructures import State

from service.edge.form import errors_of, escaped
from service.edge.problems import FieldError, ProblemError

MOST_ERRORS: Final = 200
"""Errors that one problem tells; it says how many there are in all."""


class StrictRequest(Request[Any, Any, State]):
    """A request whose JSON is decoded to the type of its handler, with nothing let pass.

    Litestar converts laxly (text passes for a number); a value that is of the type already goes
    through its conversion untouched.
    """

    async def json(self) -> Any:
        """Body as the type that the handler asks for."""
        refuse_other_media(
            self.headers.get("content-type", ""), self.headers.get("content-encoding", "")
        )
        field = self.route_handler.parsed_data_field
        return decoded(await self.body(), Any if field is None else field.annotation)


def refuse_other_media(content_type: str, encoding: str) -> None:
    """Raise a problem unless the body is declared as plain JSON."""
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
    except msgspec.ValidationError:
        return _slowly(body, kind)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        _refuse_text(body, error)
    if doubled := _doubled_keys(body):
        _refuse_form(doubled)
    return value


def _slowly(body: bytes, kind: Any) -> Any:
    """Second try after the fast one failed: whole numbers such as 384.0 count, as JSON has it."""
    try:
        value = _whole(msgspec.json.decode(body))
        doubled = _doubled_keys(body)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        _refuse_text(body, error)
    try:
        result = msgspec.convert(value, kind)
    except msgspec.ValidationError:
        _refuse_form([*errors_of(value, kind), *doubled])
    if doubled:
        _refuse_form(doubled)
    return result


def _refuse_text(body: bytes, error: Exception) -> NoReturn:
    if not body.strip():
        detail = "the body is empty: send a JSON object"
    elif isinstance(error, RecursionError):
        detail = "the body is nested too deep"
    elif isinstance(error, UnicodeDecodeError) or not _is_utf8(body):
        detail = "the body is not UTF-8"
    else:
        detail = f"the body is not JSON: {_where(body)}"
    raise ProblemError("not-json", detail) from error


def _refuse_form(errors: list[FieldError]) -> NoReturn:
    count = len(errors)
    detail = f"{count} error{'s' if count != 1 else ''}"
    if count > MOST_ERRORS:
        detail += f", the first {MOST_ERRORS} are told"
    raise ProblemError("not-our-form", detail, tuple(errors[:MOST_ERRORS]), error_count=count)


def _is_utf8(body: bytes) -> bool:
    try:
        body.decode()
    except UnicodeDecodeError:
        return False
    return True


def _where(body: bytes) -> str:
    """Line and column at which the text stops being JSON."""
    try:
        json.loads(body, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        return f"{error.msg.lower()} at line {error.lineno}, column {error.colno}"
    except (ValueError, RecursionError) as error:
        return str(error)
    return "a number or a text in it is none"


def _no_constant(name: str) -> NoReturn:
    message = f"`{name}` is no number"
    raise ValueError(message)


def _whole(value: Any) -> Any:
    if isinstance(value, float) and value.is_integer() and abs(value) < 2**53:
        return int(value)
    if isinstance(value, list):
        return [_whole(each) for each in value]
    if isinstance(value, dict):
        return {name: _whole(each) for name, each in value.items()}
    return value


def _doubled_keys(body: bytes) -> list[FieldError]:
    """Names that stand twice in one object: which of the two is meant cannot be known."""
    doubled: dict[int, list[str]] = {}

    def noted(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        value = dict(pairs)
        if len(value) != len(pairs):
            counts = Counter(name for name, _ in pairs)
            doubled[id(value)] = [name for name, count in counts.items() if count > 1]
        return value

    root = json.loads(body, object_pairs_hook=noted)
    return list(_doubled_at(root, doubled, "")) if doubled else []


def _doubled_at(value: Any, doubled: dict[int, list[str]], at: str) -> Iterator[FieldError]:
    parts: Iterable[tuple[str, Any]] = ()
    if isinstance(value, dict):
        for name in doubled.get(id(value), ()):
            pointer = f"{at}/{escaped(name)}"
            yield FieldError(pointer, f"`{name}` stands twice in one object: keep one")
        parts = ((escaped(name), each) for name, each in value.items())
    elif isinstance(value, list):
        parts = ((str(number), each) for number, each in enumerate(value))
    for part, each in parts:
        yield from _doubled_at(each, doubled, f"{at}/{part}")


@functools.cache
def _decoder(kind: Any) -> msgspec.json.Decoder[Any]:
    return msgspec.json.Decoder(kind)
