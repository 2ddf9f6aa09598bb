"""Rows of every table with any values that their types take, for tests of going there and back."""

import functools
from typing import Any, get_type_hints

import msgspec
from hypothesis import strategies as st
from msgspec import inspect

from catalog.rows import TABLES, AnyRow

# Quotes, commas, marks of lists, of XML and of the escapes of workbooks, letters of other scripts.
_PIECES = [
    "a",
    "B",
    "Z",
    "7",
    " ",
    ",",
    ".",
    '"',
    "'",
    "<",
    ">",
    "&",
    "%",
    "#N/A",
    "_x0041_",
    "_x",
    "\u00e4",
    "\u03a9",
    "\u6f22",
    "\U0001f527",
    "/",
    "(",
    ")",
    "yes",
    "null",
    "\u2212",
]
_MARKS = frozenset({"designation", "thread", "label", "standard"})


@functools.cache
def rows_of(table: str) -> st.SearchStrategy[list[AnyRow]]:
    """Lists of rows of a table."""
    kind = TABLES[table]
    hints = get_type_hints(kind, include_extras=True)
    columns = {
        name: _mark()
        if name in _MARKS and hints[name] is not _ID
        else _value(inspect.type_info(hints[name]))
        for name in kind.__struct_fields__
    }
    return st.lists(
        st.fixed_dictionaries(columns).map(lambda v: msgspec.convert(v, kind)), max_size=4
    )


_ID = get_type_hints(TABLES["sources"], include_extras=True)["id"]


def _value(info: inspect.Type) -> st.SearchStrategy[Any]:
    match info:
        case inspect.Metadata():
            return _value(info.type)
        case inspect.UnionType():
            return st.one_of([_value(part) for part in info.types])
        case inspect.NoneType():
            return st.none()
        case inspect.BoolType():
            return st.booleans()
        case inspect.LiteralType():
            return st.sampled_from(info.values)
        case inspect.IntType():
            return st.integers(info.ge or 0, info.le)
        case inspect.FloatType():
            return _number(info)
        case inspect.VarTupleType():
            item = info.item_type
            free = isinstance(item, inspect.StrType) and not item.pattern
            return st.lists(_mark() if free else _value(item), max_size=3).map(tuple)
        case inspect.StrType():
            return _text(info)
        case _:
            message = f"no values for {info}"
            raise TypeError(message)


def _number(info: inspect.FloatType) -> st.SearchStrategy[float]:
    low = next((x for x in (info.ge, info.gt) if x is not None), -1e9)
    high = next((x for x in (info.le, info.lt) if x is not None), 1e9)
    # A spreadsheet keeps 15 digits of a number; no table has more.
    return (
        st.floats(low, high, allow_subnormal=False)
        .map(lambda value: float(f"{value:.15g}"))
        .filter(
            lambda v: (
                low <= v <= high
                and (info.gt is None or v > info.gt)
                and (info.lt is None or v < info.lt)
            )
        )
    )


def _text(info: inspect.StrType) -> st.SearchStrategy[str]:
    if info.pattern and info.pattern.startswith("^[a-z]+"):
        return st.from_regex(r"[a-z]{1,9}[.][a-z0-9-]{1,20}", fullmatch=True)
    if info.pattern:
        return st.text("aZ09._+-", max_size=20).map(lambda text: f"q{text}")
    pieces = st.lists(st.sampled_from([*_PIECES, ";"]), min_size=info.min_length or 0, max_size=20)
    return pieces.map("".join).filter(
        lambda text: text == text.strip(" ") and len(text) >= (info.min_length or 0)
    )


def _mark() -> st.SearchStrategy[str]:
    """A designation or a thread, as the trade writes them; numbers are texts here."""
    return st.one_of(
        st.integers(-99, 99).map(str),
        st.sampled_from(["M16x1.5", "7/16-20", "-4", "16S", 'G1/2"', "1 5/16-12"]),
    )
