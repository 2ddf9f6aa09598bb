"""What a typed field wants, read from the type itself, so that it cannot differ."""

import functools
from typing import Any

from msgspec import Meta, inspect


def about(text: str) -> Meta:
    """What a field is, for the contract: its unit, and what leaving it out means; no bounds."""
    return Meta(description=text)


NOT_BLANK = "[^ ]"
"""Pattern of a text with more than blanks in it."""

_NEXT_TO_NOTHING = 1e-9
"""Least value up to which it is there only to keep nothing itself out."""
_NUMBER = {inspect.FloatType: "a number", inspect.IntType: "a whole number"}
_PLAIN = {
    inspect.BoolType: "true or false",
    inspect.DateType: "a date such as `2026-03-02`",
}


@functools.cache
def wanted(kind: Any) -> str:
    """What a value of this type must be.

    >>> from typing import Annotated, Literal
    >>> from msgspec import Meta
    >>> wanted(Annotated[float, Meta(gt=0, le=1000)])
    'a number above 0 and at most 1000'
    >>> wanted(Literal["mm", "in"])
    'one of `in`, `mm`'
    """
    return _told(inspect.type_info(kind))


def span(
    *,
    above: float | None = None,
    least: float | None = None,
    below: float | None = None,
    most: float | None = None,
) -> str:
    """A least and a most in plain words, none where there is neither.

    >>> span(least=1e-9, below=100)
    'above 0 and below 100'
    """
    if least is not None and least == most:
        return f"exactly {_plain(least)}"
    if least is not None and 0 < least <= _NEXT_TO_NOTHING:
        above, least = 0, None
    limits = (("above", above), ("at least", least), ("below", below), ("at most", most))
    return " and ".join(f"{word} {_plain(n)}" for word, n in limits if n is not None)


def _told(info: inspect.Type) -> str:
    match info:
        case inspect.Metadata():
            return _told(info.type)
        case inspect.FloatType() | inspect.IntType():
            return _NUMBER[type(info)] + _bounds(info)
        case inspect.StrType():
            return _text(info)
        case inspect.LiteralType() | inspect.EnumType():
            return "one of " + ", ".join(f"`{v}`" for v in _choices(info))
        case inspect.VarTupleType() | inspect.ListType():
            return (
                f"a list{_length(info.min_length, info.max_length)}, each {_told(info.item_type)}"
            )
        case inspect.DictType():
            length = _length(info.min_length, info.max_length)
            return f"an object{length}, each {_told(info.value_type)}"
        case inspect.StructType():
            return "an object with " + ", ".join(f"`{f.encode_name}`" for f in info.fields)
        case inspect.UnionType():
            return " or ".join(_told(t) for t in info.types if not isinstance(t, inspect.NoneType))
        case _:
            return _PLAIN.get(type(info), "another kind of value")


def _choices(info: inspect.LiteralType | inspect.EnumType) -> list[Any]:
    values = info.values if isinstance(info, inspect.LiteralType) else tuple(info.cls)
    return sorted(values, key=str)


def _bounds(info: inspect.FloatType | inspect.IntType) -> str:
    words = span(above=info.gt, least=info.ge, below=info.lt, most=info.le)
    return f" {words}" if words else ""


def _plain(limit: float) -> str:
    return f"{limit:.12f}".rstrip("0").rstrip(".")


def _length(least: int | None, most: int | None) -> str:
    words = span(least=least or None, most=most or None)
    return f" of {words}" if words else ""


def _text(info: inspect.StrType) -> str:
    length = _length(info.min_length, info.max_length)
    told = f"a text{length} letters" if length else "a text"
    if info.pattern == NOT_BLANK:
        return f"{told} that is not blank"
    return f"a text of the form `{info.pattern}`" if info.pattern else told
