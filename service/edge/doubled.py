"""Names that stand twice in one JSON object: which of the two is meant cannot be known."""

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

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
