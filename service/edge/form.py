"""Every way in which a JSON value is not of the form asked, each with its pointer.

msgspec stops at the first error, so this walks the type again, field by field. It runs only after
the fast decode has failed. It is lazy, and walks no further into a list than the list may be long.
"""

import functools
from collections.abc import Collection, Iterator
from difflib import get_close_matches
from itertools import islice
from typing import Annotated, Any, Final, get_args, get_origin, get_type_hints

import msgspec
from msgspec import Meta, UnsetType

from catalog.facts import escaped
from catalog.older import MOVED, RENAMED
from catalog.wanted import wanted
from service.edge.problems import FieldError

SHOWN_LETTERS: Final = 60
LONGEST_SLIP: Final = 40
"""Letters of a name up to which it may be a field misspelt; comparing longer ones takes long."""


def errors_of(value: Any, kind: Any, pointer: str = "") -> Iterator[FieldError]:
    """Errors of a decoded JSON value against a type; none where it is of that form."""
    kind = without_unset(kind)
    struct = _struct(kind)
    if struct is not None and isinstance(value, dict):
        yield from _object_errors(value, struct, pointer)
        return
    if _bare(kind) is dict and isinstance(value, dict):
        yield from _entry_errors(value, kind, pointer)
        return
    if _bare(kind) is tuple and isinstance(value, list):
        yield from _list_errors(value, kind, pointer)
        return
    try:
        msgspec.convert(value, kind)
    except msgspec.ValidationError:
        given = "null" if value is None else shown(value)
        advice = _advice(value, kind, pointer.rpartition("/")[2])
        yield FieldError(pointer, f"`{given}` is not {wanted(kind)}{advice}")


def _entry_errors(value: dict[str, Any], kind: Any, pointer: str) -> Iterator[FieldError]:
    """Errors of an object whose fields are named by whoever asks: ids."""
    name_kind, item_kind = get_args(_plain(kind))
    _, most = _length(kind)
    if most is not None and len(value) > most:
        yield FieldError(pointer, f"{len(value)} entries are not {_how_many(kind)}")
    for name, given in islice(value.items(), most):
        at = f"{pointer}/{escaped(name)}"
        yield from errors_of(name, name_kind, at)
        yield from errors_of(given, item_kind, at)


def _object_errors(value: dict[str, Any], struct: type, pointer: str) -> Iterator[FieldError]:
    kinds = field_kinds(struct)
    for name, given in value.items():
        at = f"{pointer}/{escaped(name)}"
        if name not in kinds:
            known = ", ".join(kinds)
            yield FieldError(at, f"no such field{hint(name, kinds)}: the fields are {known}")
        elif given is None:
            yield FieldError(at, "null is no value: leave the field out where it is not known")
        else:
            yield from errors_of(given, kinds[name], at)
    yield from missing(value, struct, pointer)


def missing(given: Collection[str], struct: type, pointer: str = "") -> Iterator[FieldError]:
    """Errors of fields that a Struct must have and that are not given."""
    kinds = field_kinds(struct)
    for field in msgspec.structs.fields(struct):
        name = field.encode_name
        if field.required and name not in given:
            at = f"{pointer}/{escaped(name)}"
            yield FieldError(at, f"is missing: give {wanted(kinds[name])}")


def hint(name: str, kinds: dict[str, Any]) -> str:
    """What a name that is none of these may have meant; blank where nothing comes near."""
    if RENAMED.get(name) in kinds:
        return f", it is called `{RENAMED[name]}` now"
    near = get_close_matches(name, kinds, n=1) if len(name) <= LONGEST_SLIP else []
    return f", did you mean `{near[0]}`" if near else ""


def _list_errors(value: list[Any], kind: Any, pointer: str) -> Iterator[FieldError]:
    least, most = _length(kind)
    item_kind = get_args(_plain(kind))[0]
    if not least <= len(value) <= (len(value) if most is None else most):
        yield FieldError(pointer, f"{len(value)} items are not {_how_many(kind)}")
    for number, item in enumerate(value[:most]):
        yield from errors_of(item, item_kind, f"{pointer}/{number}")


def _length(kind: Any) -> tuple[int, int | None]:
    """Least and greatest length of a list, where it has them."""
    metas = [part for part in get_args(kind) if isinstance(part, Meta)]
    least = next((m.min_length for m in metas if m.min_length is not None), 0)
    most = next((m.max_length for m in metas if m.max_length is not None), None)
    return least, most


def _how_many(kind: Any) -> str:
    return wanted(kind).split(", each", maxsplit=1)[0]


def shown(value: Any) -> str:
    """Value as a message shows it, cut where it is long."""
    text = value if isinstance(value, str) else msgspec.json.encode(value).decode()
    return text if len(text) <= SHOWN_LETTERS else text[:SHOWN_LETTERS] + "..."


def _advice(value: Any, kind: Any, field: str) -> str:
    if field in MOVED:
        return f": {MOVED[field]}"
    if isinstance(value, str) and "number" in wanted(kind):
        return ": give the number without quotes"
    if isinstance(value, str) and value in RENAMED:
        return f": `{value}` is called `{RENAMED[value]}` now"
    return ""


def without_unset(kind: Any) -> Any:
    """Type that a field has where it is given."""
    if UnsetType in get_args(_plain(kind)):
        kind = _plain(kind)
    parts = [part for part in get_args(kind) if part is not UnsetType]
    if UnsetType not in get_args(kind):
        return kind
    return functools.reduce(lambda a, b: a | b, parts)


def _struct(kind: Any) -> type | None:
    """Struct that an object is meant to be, for a Struct or a union that holds one."""
    for part in () if _bare(kind) is dict else (kind, *get_args(kind)):
        if isinstance(part, type) and issubclass(part, msgspec.Struct):
            return part
    return None


def _plain(kind: Any) -> Any:
    """Type without its bounds."""
    return get_args(kind)[0] if get_origin(kind) is Annotated else kind


def _bare(kind: Any) -> Any:
    """What a type is made of: `dict`, `tuple`; None where it is made of nothing."""
    return get_origin(_plain(kind))


@functools.cache
def field_kinds(struct: type) -> dict[str, Any]:
    """Type of every field of a Struct, by the name that callers write."""
    hints = get_type_hints(struct, include_extras=True)
    return {f.encode_name: hints[f.name] for f in msgspec.structs.fields(struct)}
