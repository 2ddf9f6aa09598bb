"""The text of a JSON body: why it cannot be read, and names that stand twice in one object.

Which of two members of one name is meant cannot be known.
"""

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, NoReturn

import msgspec

from catalog.facts import escaped
from service.edge.problems import FieldError

_decode = msgspec.json.Decoder().decode
_encode = msgspec.json.Encoder().encode


class _Members(tuple[tuple[str, Any], ...]):
    """Members of an object as they stand in the text, the doubled ones too."""


def may_be_doubled(body: bytes) -> bool:
    r"""Whether a name may stand twice in an object of this JSON; false is certain.

    A decoder keeps the last of two, so the encoded value has fewer colons than the text. Colons
    inside strings stand in both, unless they are written as an escape.

    >>> may_be_doubled(b'{"a": "12:30"}'), may_be_doubled(b'{"a": 1, "a": 2}')
    (False, True)
    >>> may_be_doubled(rb'{"a": 1, "a": "\u003a"}')
    True
    """
    return b"\\u003" in body or body.count(b":") != _encode(_decode(body)).count(b":")


def doubled_names(body: bytes) -> Iterator[FieldError]:
    """Error for every name that stands twice in one object of this JSON."""
    if may_be_doubled(body):
        yield from _doubled(json.loads(body, object_pairs_hook=_Members), "")


def _doubled(value: Any, at: str) -> Iterator[FieldError]:
    members: Iterable[tuple[str, Any]] = ()
    if isinstance(value, _Members):
        members = [(escaped(name), each) for name, each in value]
        for name, count in Counter(name for name, _ in value).items():
            if count > 1:
                detail = "stands twice in one object" if count == 2 else f"stands {count} times"
                yield FieldError(f"{at}/{escaped(name)}", f"`{name}` {detail}: keep one")
    elif isinstance(value, list):
        members = ((str(number), each) for number, each in enumerate(value))
    for name, each in members:
        if isinstance(each, _Members | list):
            yield from _doubled(each, f"{at}/{name}")


class _ConstantError(ValueError):
    """A name such as `NaN` where a number should stand."""


def why_unreadable(body: bytes, error: Exception) -> str:
    """Reason why a body was refused with this error."""
    if not body.strip():
        return "the body is empty: send a JSON object"
    if isinstance(error, RecursionError):
        return "the body is nested too deep"
    if body.startswith(b"\xef\xbb\xbf"):
        return "the body starts with a byte order mark: leave it out"
    try:
        body.decode()
    except UnicodeDecodeError as broken:
        return f"the body is not UTF-8 at byte {broken.start}"
    return f"the body is not JSON: {_where(body)}"


def _where(body: bytes) -> str:
    try:
        json.loads(body, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        # A message of the decoder may end in "at", where the place is to follow.
        message = error.msg.lower().removesuffix(" at")
        return f"{message} at line {error.lineno}, column {error.colno}"
    except _ConstantError as error:
        return str(error)
    except RecursionError:
        return "it is nested too deep"
    except ValueError:  # thousands of digits
        return "a number in it is out of range"
    try:
        msgspec.json.decode(body)
    except msgspec.ValidationError:
        return "a number in it is out of range"
    except msgspec.DecodeError:
        pass
    return "a `\\u` escape in it is half of a pair"


def _no_constant(name: str) -> NoReturn:
    message = f"`{name}` is no number: leave the field out where it is not known"
    raise _ConstantError(message)
