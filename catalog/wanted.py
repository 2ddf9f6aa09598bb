"""What a typed field wants, read from the type itself, so that it cannot differ."""

import functools
from typing import Any

from msgspec import Meta, inspect


def about(text: str) -> Meta:
    """What a field is, for the contract: its unit, its bounds, and what leaving it out means."""
    return Meta(description=text)


NOT_BLANK = "[^ ]"
"""Pattern of a text with more than blanks in it."""

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
    words = [
        f"{word} {_plain(limit)}"
        for word, limit in (
            ("above", info.gt),
            ("at least", None if _next_to_nothing(info.ge) else info.ge),
            ("above", 0 if _next_to_nothing(info.ge) else None),
            ("below", info.lt),
            ("at most", info.le),
        )
        if limit is not None
    ]
    return f" {' and '.join(words)}" if words else ""


def _next_to_nothing(limit: float | None) -> bool:
    """Whether a least value is there only to keep nothing itself out."""
    return limit is not None and 0 < limit <= 1e-9


def _plain(limit: float) -> str:
    return f"{limit:.12f}".rstrip("0").rstrip(".")


def _length(least: int | None, most: int | None) -> str:
    words = [f"{word} {n}" for word, n in (("at least", least), ("at most", most)) if n]
    return f" of {' and '.join(words)}" if words else ""


def _text(info: inspect.StrType) -> str:
    length = _length(info.min_length, info.max_length)
    told = f"a text{length} letters" if length else "a text"
    if info.pattern == NOT_BLANK:
        return f"{told} that is not blank"
    return f"a text of the form `{info.pattern}`" if info.pattern else told
