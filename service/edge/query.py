"""Queries decoded strictly to a Struct: everything that is wrong is told at once.

A query is text, so a number is what is asked for as one and written as one in JSON: `limit=05`,
`limit=+5` and `limit=5.0` are no whole numbers, and `null` is the text.
"""

import functools
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any, Final, TypeVar
from urllib.parse import unquote_to_bytes

import msgspec
from msgspec import inspect

from catalog.facts import escaped
from catalog.wanted import wanted
from service.edge.form import field_kinds, hint, missing, shown, without_unset
from service.edge.problems import FieldError, ProblemError, refuse_if_any

LONGEST_BYTES: Final = 8192

S = TypeVar("S", bound=msgspec.Struct)

_BROKEN_ESCAPE: Final = re.compile(rb"%(?![0-9A-Fa-f]{2})")
_WHOLE: Final = re.compile(r"-?(?:0|[1-9][0-9]{0,17})")
_NUMBER: Final = re.compile(r"-?(?:0|[1-9][0-9]{0,17})(?:\.[0-9]{1,30})?(?:[eE][+-]?[0-9]{1,2})?")
_TRUTH: Final = {"true": True, "false": False}


def asked(query: bytes, kind: type[S]) -> S:
    """Value of a Struct from the raw query of a request.

    Errors: `ProblemError` `query` with every error; its pointer is `/` and the parameter's name.
    """
    if len(query) > LONGEST_BYTES:
        detail = f"{len(query)} bytes of query, limit {LONGEST_BYTES} bytes: ask for less at once"
        raise ProblemError("query", detail)
    errors: list[FieldError] = []
    given: list[tuple[str, str]] = []
    for part in query.split(b"&") if query else ():
        read = _read(part)
        if isinstance(read, FieldError):
            errors.append(read)
        else:
            given.append(read)
    values: dict[str, Any] = {}
    errors += _names_wrong(Counter(name for name, _ in given), kind)
    kinds = field_kinds(kind)
    for name, text in given:
        if name in kinds:
            values[name] = _value(text, kinds[name])
            errors += _value_wrong(name, text, values[name], kinds[name])
    errors += missing({name for name, _ in given}, kind)
    refuse_if_any(errors, "query")
    return msgspec.convert(values, kind)


def _read(part: bytes) -> tuple[str, str] | FieldError:
    """Name and text of a part between two `&`, or why it has none."""
    name, equals, value = part.partition(b"=")
    try:
        read = _plain(name), _plain(value)
    except ValueError:
        detail = "cannot be read: a `%` stands before two digits from 0 to F, and text is UTF-8"
        return FieldError(f"/{escaped(_seen(name))}", f"`{_seen(part)}` {detail}")
    if not read[0]:
        return FieldError("/", f"`{_seen(part)}` has no name: write `name=value`, `&` between two")
    if not equals or not value:
        return FieldError(f"/{escaped(read[0])}", "is empty: give a value, or leave it out")
    return read


def _plain(escapes: bytes) -> str:
    """Text without its escapes; a `+` is a blank, as forms write it."""
    if _BROKEN_ESCAPE.search(escapes):
        raise ValueError
    return unquote_to_bytes(escapes.replace(b"+", b" ")).decode()


def _seen(raw: bytes) -> str:
    return shown(raw.decode("latin-1"))


def _names_wrong(counts: Counter[str], kind: type[msgspec.Struct]) -> Iterator[FieldError]:
    kinds = field_kinds(kind)
    for name, count in counts.items():
        at = f"/{escaped(name)}"
        if name not in kinds:
            known = ", ".join(f"`{each}`" for each in kinds)
            detail = f"no such parameter{hint(name, kinds)}: the parameters are {known}"
            yield FieldError(at, detail)
        if count > 1:
            yield FieldError(at, f"`{shown(name)}` stands {count} times: keep one")


def _value(text: str, kind: Any) -> Any:
    """Value that a text stands for, where a value of its kind is asked for; else the text."""
    asks = _asks(kind)
    if bool in asks and text in _TRUTH:
        return _TRUTH[text]
    if int in asks and _WHOLE.fullmatch(text):
        return int(text)
    if float in asks and _NUMBER.fullmatch(text):
        return float(text)
    return text


def _value_wrong(name: str, text: str, value: Any, kind: Any) -> Iterator[FieldError]:
    try:
        msgspec.convert(value, kind)
    except msgspec.ValidationError:
        detail = f"`{shown(text)}` is not {wanted(without_unset(kind))}"
        yield FieldError(f"/{escaped(name)}", detail)


@functools.cache
def _asks(kind: Any) -> frozenset[type]:
    """Kinds of plain value, other than text, that a field takes."""
    info = inspect.type_info(kind)
    while isinstance(info, inspect.Metadata):
        info = info.type
    kinds = {inspect.BoolType: bool, inspect.IntType: int, inspect.FloatType: float}
    found: set[type] = set()
    for each in info.types if isinstance(info, inspect.UnionType) else (info,):
        if type(each) in kinds:
            found.add(kinds[type(each)])
        if isinstance(each, inspect.LiteralType):
            found |= {type(value) for value in each.values} - {str}
    return frozenset(found)
