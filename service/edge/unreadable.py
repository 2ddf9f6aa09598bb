"""Why bytes cannot be read as JSON, so that whoever sent them finds the place."""

import json
from typing import NoReturn

import msgspec


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
