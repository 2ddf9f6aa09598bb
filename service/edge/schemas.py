"""Schemas of the contract: msgspec's, which are what is enforced, with closed sets named once.

A question is closed and has no defaults: generators make a field with one required, so a default
stands in the description. An answer is open, since fields are added to it, and what is always there
is required.
"""

import inspect
import sys
from collections.abc import Iterable, Iterator
from typing import Any, Final, Literal, get_args, get_origin, get_type_hints

import msgspec

from catalog.wanted import span

REF: Final = "#/components/schemas/{name}"
_INT32: Final = 2**31 - 1
_MEANINGS: Final[dict[str, str]] = {
    "Verdict": "whether to press; only `allowed` and `allowed-with-cautions` allow it",
    "Severity": "what a finding does to the verdict, gravest first; a note does nothing",
    "Grade": "how far a source is trusted, best first",
    "Family": "materials that count as alike for rings and tooling",
    "Seam": "how the tube was made, and what became of the weld bead inside",
    "HardnessScale": "scale of a hardness; scales are never converted into each other",
    "IdentifiedBy": "what says which tube it is: the marking on it, or its certificate",
    "InsertState": "whether a support insert stands in the tube end",
    "RingStyle": "a ring that seals by metal, or one with an elastomer seal",
    "RingCondition": "whether the ring was pressed before",
    "Lubricated": "a part that was lubricated before pressing",
    "Finish": "what ends the pressing: a reading, or the nut at the cone",
    "Bend": "whether a bend begins near the tube end",
    "OtherEnd": "the other end of the fitting body: the same, or with a rating of its own",
    "RingEdge": "where the cutting edge of the ring points",
    "NutThread": "where the thread of the nut points",
    "Method": "method of a tube rating",
    "Governing": "what sets the lowest pressure: a method, or the yield limit of the tube",
    "StepId": "step of the bench, in the order of the work",
    "Detail": "brief: what to do now; full: with working, assumptions and sources",
    "StepState": "done right, still open, or wrong",
    "LengthUnit": "unit of a length",
    "PressureUnit": "unit of a pressure or a stress",
    "ForceUnit": "unit of a force",
    "TemperatureUnit": "unit of a temperature",
    "AngleUnit": "unit of an angle",
    "Unit": "unit of a number of an answer; `1` is a plain number",
    "Cut": "what ends the window of readings before the force band does",
    "RowChangeKind": "what became of a row",
    "ChangeKind": "what is answered otherwise by another revision, gravest first",
    "Doubtful": "why an answer warns of a row: it is from memory, or invented",
    "DialPart": "what of a dial moved; at contact `reading`, `low` and `high` are what is expected",
    "LimitName": "one limit of an assembly",
    "DoubtKind": "what looks wrong in a table",
    "Weight": "a strong doubt must be acknowledged with a reason, a weak one only read",
    "State": "what became of a revision",
    "Section": "part of a report that is read page by page",
    "Action": "step of the office",
}
"""What each closed set is about; its words stand in the types."""


def components(asked: Iterable[Any], answered: Iterable[Any]) -> dict[str, Any]:
    """Every schema that bodies lead to, by name, with the closed sets that they use."""
    questions, answers = list(_structs(asked)), list(_structs(answered))
    classes = dict.fromkeys((*questions, *answers))
    _, told = msgspec.json.schema_components(list(classes), ref_template=REF)
    kinds = {each.__name__: each for each in classes}
    schemas = {
        name: _asked(schema) if kinds[name] in questions else _answered(schema, kinds[name])
        for name, schema in told.items()
    }
    sets = _closed_sets(classes)
    used: set[str] = set()
    schemas = {name: _named(schema, sets, used) for name, schema in schemas.items()}
    if doubled := used & set(schemas):
        message = f"both a closed set and a Struct: {sorted(doubled)}"
        raise ValueError(message)
    return schemas | {
        sets[words]: _set(sets[words], words) for words in sets if sets[words] in used
    }


def schema_of(kind: Any) -> dict[str, Any]:
    """Schema of a body: a reference to its component."""
    (schema,), _ = msgspec.json.schema_components([kind], ref_template=REF)
    return schema


def query_schemas(kind: type[msgspec.Struct]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Schemas of a query's parameters by name, and the names of those that must be given."""
    _, told = msgspec.json.schema_components([kind], ref_template=REF)
    schema = told[kind.__name__]
    fields = {name: _with_bounds(field) for name, field in schema["properties"].items()}
    named = _named(fields, _closed_sets(_structs([kind])), set())
    return named, tuple(schema.get("required", ()))


def query_sets(kinds: Iterable[type[msgspec.Struct]]) -> dict[str, Any]:
    """Closed sets that queries use, by name."""
    used: set[str] = set()
    classes = tuple(_structs(kinds))
    sets = _closed_sets(classes)
    for kind in kinds:
        _, told = msgspec.json.schema_components([kind], ref_template=REF)
        _named(told[kind.__name__], sets, used)
    return {name: _set(name, words) for words, name in sets.items() if name in used}


def _structs(kinds: Iterable[Any]) -> Iterator[type[msgspec.Struct]]:
    """Structs that types lead to, each once."""
    seen: set[Any] = set()
    waiting = list(kinds)
    while waiting:
        kind = waiting.pop(0)
        if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
            if kind not in seen:
                seen.add(kind)
                yield kind
                waiting += get_type_hints(kind).values()
        else:
            waiting += get_args(kind)


def _closed_sets(classes: Iterable[type[msgspec.Struct]]) -> dict[tuple[str, ...], str]:
    """Names of the closed sets that Structs may use: the names which their modules know them by."""
    modules = {base.__module__ for each in classes for base in each.__mro__}
    return {
        get_args(kind): name
        for module in sorted(modules)
        for name, kind in sorted(vars(sys.modules[module]).items())
        if get_origin(kind) is Literal and not name.startswith("_")
    }


def _set(name: str, words: tuple[str, ...]) -> dict[str, Any]:
    told = {"title": name, "type": "string", "enum": list(words)}
    return {**told, "description": _MEANINGS[name]} if name in _MEANINGS else told


def _named(schema: Any, sets: dict[tuple[str, ...], str], used: set[str]) -> Any:
    """Schema with its closed sets as references, and the formats of its numbers."""
    if isinstance(schema, list):
        return [_named(each, sets, used) for each in schema]
    if not isinstance(schema, dict):
        return schema
    told = {
        key: value if key in {"default", "examples", "enum"} else _named(value, sets, used)
        for key, value in schema.items()
    }
    for words, name in sets.items():
        if "enum" in told and set(words) == set(told["enum"]):
            used.add(name)
            del told["enum"]
            told["$ref"] = REF.format(name=name)
    if told.get("type") == "number":
        told["format"] = "double"
    if told.get("type") == "integer":
        told["format"] = "int32" if told.get("maximum", _INT32 + 1) <= _INT32 else "int64"
    return told


def _asked(schema: dict[str, Any]) -> dict[str, Any]:
    """Schema of a part of a question: bounds, and what leaving a field out means, in words too."""
    fields = {
        name: _with_bounds(_without_default(field)) for name, field in schema["properties"].items()
    }
    return _described({**schema, "properties": fields})


def _without_default(field: dict[str, Any]) -> dict[str, Any]:
    told = {key: value for key, value in field.items() if key != "default"}
    default = field.get("default")
    words = list(default.values()) if isinstance(default, dict) else default
    if words not in (None, [], ()):
        several = words if isinstance(words, list | tuple) else [words]
        meant = ", ".join(f"`{w if isinstance(w, str) else str(w).lower()}`" for w in several)
        told["description"] = f"{field.get('description', '')}; left out: {meant}".removeprefix(
            "; "
        )
    return told


def _with_bounds(field: dict[str, Any]) -> dict[str, Any]:
    """Schema of a field with its bounds in its description, before what leaving it out means."""
    bounds = bounds_in_words(field)
    if not bounds:
        return field
    what, left_out, rest = field.get("description", "").partition("; ")
    return {**field, "description": f"{what}, {bounds}{left_out}{rest}".removeprefix(", ")}


def bounds_in_words(schema: dict[str, Any]) -> str:
    """Least and most of a value, its letters or its entries, in the words of a refusal.

    >>> bounds_in_words({"minimum": 1e-9, "maximum": 1e6})
    'above 0 and at most 1000000'
    >>> bounds_in_words({"maxItems": 3, "items": {"minLength": 1, "maxLength": 80}})
    'at most 3 entries, each at least 1 and at most 80 letters'
    """
    number = span(
        above=schema.get("exclusiveMinimum"),
        least=schema.get("minimum"),
        below=schema.get("exclusiveMaximum"),
        most=schema.get("maximum"),
    )
    told = [number] if number else []
    for what, of in (("Length", "letters"), ("Items", "entries"), ("Properties", "entries")):
        if words := span(least=schema.get(f"min{what}"), most=schema.get(f"max{what}")):
            told.append(f"{words} {of}")
    if "items" in schema and (each := bounds_in_words(schema["items"])):
        told.append(f"each {each}")
    return ", ".join(told)


def _answered(schema: dict[str, Any], kind: type[msgspec.Struct]) -> dict[str, Any]:
    """Schema of a part of an answer: what is always sent is required, and more may be added."""
    fields = schema["properties"]
    always = [
        name
        for name in fields
        if name in schema["required"]
        or ("default" in fields[name] and not kind.__struct_config__.omit_defaults)
    ]
    told = {key: value for key, value in schema.items() if key != "additionalProperties"}
    told["properties"] = {
        name: {key: value for key, value in field.items() if key != "default"}
        for name, field in fields.items()
    }
    return _described({**told, "required": always})


def _described(schema: dict[str, Any]) -> dict[str, Any]:
    if "description" in schema:
        schema["description"] = inspect.cleandoc(schema["description"])
    return schema
