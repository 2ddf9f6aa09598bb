"""What a generator or a reader of the contract stumbles over is refused, each lapse by its name.

Measured on older contracts: generated clients dropped the words of a string-or-object, asked for
fields that have a default, dropped a schema with an array of nothing, and named one set seven ways.
"""

import ast
import copy
import json
import re
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import catalog
import service
from tests.service.test_contract import CONTRACT, reached

Document = dict[str, Any]
BOUND = re.compile("(min|max|exclusiveMin|exclusiveMax)(imum|Length|Items|Properties)$")


def parts(value: Any, at: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object of a document outside of its examples, with its place."""
    if isinstance(value, dict):
        yield at, value
        for key, inner in value.items():
            if key not in {"examples", "example"}:
                yield from parts(inner, f"{at}/{key}")
    if isinstance(value, list):
        for number, inner in enumerate(value):
            yield from parts(inner, f"{at}/{number}")


def schemas(document: Document) -> dict[str, Any]:
    found: dict[str, Any] = document["components"]["schemas"]
    return found


def operations(document: Document) -> Iterator[tuple[str, dict[str, Any]]]:
    for path, methods in document["paths"].items():
        for method, told in methods.items():
            yield f"{method} {path}", told


def bodies(document: Document) -> set[str]:
    """Names of the schemas of questions."""
    return {
        name
        for _, told in operations(document)
        for content in told.get("requestBody", {}).get("content", {}).values()
        for name in reached(content["schema"])
    }


def undescribed(document: Document) -> Iterator[str]:
    for name, schema in schemas(document).items():
        if not schema.get("description"):
            yield name
        for field, told in schema.get("properties", {}).items():
            if not told.get("description"):
                yield f"{name}.{field}"
    for at, told in operations(document):
        for parameter in told.get("parameters", ()):
            if not parameter.get("description"):
                yield f"{at} {parameter['name']}"


def bound_that_is_not_told(document: Document) -> Iterator[str]:
    """Fields of a question, or of a query, whose description names a bound of theirs nowhere."""
    fields = {
        f"{name}.{field}": (told, told.get("description", ""))
        for name in bodies(document)
        for field, told in schemas(document)[name].get("properties", {}).items()
    } | {
        f"{at} {parameter['name']}": (
            {k: v for k, v in parameter["schema"].items() if k != "minLength"},  # a letter at least
            parameter.get("description", ""),
        )
        for at, told in operations(document)
        for parameter in told.get("parameters", ())
        if parameter["in"] == "query"
    }
    for at, (schema, description) in fields.items():
        named = {float(number) for number in re.findall(r"-?[0-9]+(?:[.][0-9]+)?", description)}
        for key, bound in (*schema.items(), *schema.get("items", {}).items()):
            # What keeps nothing itself out is told as "above 0".
            if BOUND.match(key) and (0 if 0 < bound <= 1e-9 else bound) not in named:
                yield f"{at} {key}"


def untyped_or_repeated_set(document: Document) -> Iterator[str]:
    seen: Counter[str] = Counter()
    for at, part in parts(document):
        if isinstance(part.get("enum"), list):
            seen[json.dumps(sorted(part["enum"]))] += 1
            if "type" not in part:
                yield at
    yield from (words for words, count in seen.items() if count > 1)


def list_of_nothing(document: Document) -> Iterator[str]:
    for at, part in parts(document):
        if part.get("type") == "array" and not part.get("items"):
            yield at


def default_in_a_question(document: Document) -> Iterator[str]:
    for name in bodies(document):
        for at, part in parts(schemas(document)[name], name):
            if "default" in part:
                yield at


def default_or_option_in_an_answer(document: Document) -> Iterator[str]:
    for name in set(schemas(document)) - bodies(document):
        for field, told in schemas(document)[name].get("properties", {}).items():
            if "default" in told:
                yield f"{name}.{field}"


def text_or_object(document: Document) -> Iterator[str]:
    def kind(schema: dict[str, Any]) -> Any:
        if "$ref" in schema:
            return kind(schemas(document)[schema["$ref"].rpartition("/")[2]])
        return schema.get("type", "string" if "enum" in schema else None)

    for at, part in parts(document):
        kinds = {kind(each) for each in (*part.get("anyOf", ()), *part.get("oneOf", ()))}
        if {"string", "object"} <= kinds:
            yield at


def without_tag_or_summary(document: Document) -> Iterator[str]:
    known = {tag["name"] for tag in document["tags"]}
    for at, told in operations(document):
        if len(told["tags"]) != 1 or not set(told["tags"]) <= known or not told["summary"]:
            yield at


def without_example(document: Document) -> Iterator[str]:
    for at, told in operations(document):
        contents = [told.get("requestBody", {}).get("content", {})]
        contents += [r.get("content", {}) for s, r in told["responses"].items() if s < "202"]
        shown = [
            bool(content["application/json"].get("examples"))
            for content in contents
            if "application/json" in content
        ]
        # 200 beside 201, and a body that is not JSON, show nothing of their own.
        if shown and (not shown[0] or not any(shown[1:] or [True])):
            yield at


def problem_in_its_place(document: Document) -> Iterator[str]:
    for at, told in operations(document):
        for status, response in told["responses"].items():
            if "application/problem+json" in response.get("content", {}):
                yield f"{at} {status}"


def number_without_format(document: Document) -> Iterator[str]:
    for at, part in parts(document):
        if part.get("type") in ("number", "integer") and "format" not in part:
            yield at


def untyped_answer(document: Document) -> Iterator[str]:
    for at, told in operations(document):
        for status, response in told["responses"].items():
            for media, content in response.get("content", {}).items():
                if not content.get("schema"):
                    yield f"{at} {status} {media}"


FINDERS: dict[str, Callable[[Document], Iterator[str]]] = {
    find.__name__: find
    for find in (
        undescribed,
        bound_that_is_not_told,
        untyped_or_repeated_set,
        list_of_nothing,
        default_in_a_question,
        default_or_option_in_an_answer,
        text_or_object,
        without_tag_or_summary,
        without_example,
        problem_in_its_place,
        number_without_format,
        untyped_answer,
    )
}


@pytest.mark.parametrize("name", FINDERS)
def test_the_contract_has_no_lapse(name: str) -> None:
    assert sorted(FINDERS[name](CONTRACT)) == []


def field(document: Document, name: str, of: str) -> dict[str, Any]:
    found: dict[str, Any] = schemas(document)[name]["properties"][of]
    return found


def ask(document: Document) -> dict[str, Any]:
    found: dict[str, Any] = document["paths"]["/v1/press-targets"]["post"]
    return found


PROBLEM = {"description": "x", "content": {"application/problem+json": {"schema": {"x": 1}}}}
SPOILT: dict[str, Callable[[Document], Any]] = {
    "undescribed": lambda d: field(d, "TubeFacts", "od").pop("description"),
    "bound_that_is_not_told": lambda d: field(d, "TubeFacts", "bends").update(maxItems=101),
    "untyped_or_repeated_set": lambda d: schemas(d)["Verdict"].pop("type"),
    "list_of_nothing": lambda d: field(d, "TubeFacts", "bends").pop("items"),
    "default_in_a_question": lambda d: field(d, "TubeFacts", "od").update(default={}),
    "default_or_option_in_an_answer": lambda d: field(d, "Finding", "basis").update(default=[]),
    "text_or_object": lambda d: field(d, "TubeFacts", "bend").update(
        anyOf=[{"$ref": "#/components/schemas/Bend"}, {"$ref": "#/components/schemas/Length"}]
    ),
    "without_tag_or_summary": lambda d: ask(d).update(tags=[]),
    "without_example": lambda d: ask(d)["responses"]["200"]["content"]["application/json"].pop(
        "examples"
    ),
    "problem_in_its_place": lambda d: ask(d)["responses"].update({"422": PROBLEM}),
    "number_without_format": lambda d: field(d, "Length", "value").pop("format"),
    "untyped_answer": lambda d: ask(d)["responses"]["200"]["content"].update({"x/y": {}}),
}
"""A lapse that each finder must find."""


@pytest.mark.parametrize("name", FINDERS)
def test_a_lapse_is_found(name: str) -> None:
    spoilt = copy.deepcopy(CONTRACT)
    SPOILT[name](spoilt)
    assert set(FINDERS[name](spoilt)) > set(FINDERS[name](CONTRACT))


def test_a_set_that_stands_twice_is_found() -> None:
    spoilt = copy.deepcopy(CONTRACT)
    verdict = schemas(spoilt)["Verdict"]
    schemas(spoilt)["Finding"]["properties"]["severity"] = {**verdict, "title": "Again"}
    assert list(untyped_or_repeated_set(spoilt)) == [json.dumps(sorted(verdict["enum"]))]


def test_a_sentence_about_a_field_stands_in_one_place() -> None:
    said = Counter(
        str(call.args[0].value)
        for room in (catalog, service)
        for file in Path(*room.__path__).rglob("*.py")
        for call in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(call, ast.Call) and ast.unparse(call.func) == "about"
        if isinstance(call.args[0], ast.Constant)
    )
    assert len(said) > 300
    # A few words, or two rooms that say the same of their own, are no type that two could share.
    assert [text for text, n in said.items() if n > 3 and len(text.split()) > 6] == []


def test_it_says_what_may_change() -> None:
    assert CONTRACT["info"]["version"] == "2.0"
    assert "What may change inside `/v1`" in CONTRACT["info"]["description"]
