"""Examples of the contract: questions of `openapi/examples`, and what the service answered to them.

`openapi/answers` is written by `python -m tests.contract.recorded --write`, which asks the service;
so are the questions of an office, which follow from each other.
"""

import json
from http import HTTPStatus
from pathlib import Path
from typing import Any, Final

EXAMPLES: Final = Path(__file__).parents[2] / "openapi" / "examples"
ANSWERS: Final = EXAMPLES.with_name("answers")
MOST_SHOWN_BYTES: Final = 6000
"""Size of an answer up to which the document shows it."""


def questions_shown(operation_id: str) -> dict[str, Any]:
    """Questions of an operation that are answered, by name."""
    found = {}
    for file in sorted(EXAMPLES.glob("*.json")):
        example = json.loads(file.read_text(encoding="utf-8"))
        if example["operation"] == operation_id and example["expect"]["status"] == 200:
            found[file.stem] = {"summary": example["name"], "value": example["body"]}
    for name, kept in _answers_of(operation_id).items():
        if "body" in kept:
            found[name] = {"summary": kept["summary"], "value": kept["body"]}
    return found


def answers_shown(operation_id: str) -> dict[str, Any]:
    """Answers short enough for a page, and the shortest of an operation in any case."""
    answered = {n: k for n, k in _answers_of(operation_id).items() if k["status"] < 300}
    sizes = {name: len(json.dumps(kept["answer"])) for name, kept in answered.items()}
    most = max(MOST_SHOWN_BYTES, min(sizes.values(), default=0))
    return {name: kept for name, kept in answered.items() if sizes[name] <= most}


def problem_examples(status: HTTPStatus) -> dict[str, Any]:
    """Problems of a status that the examples meet, as a part of a media type."""
    found = {
        name: {"summary": kept["summary"], "value": kept["answer"]}
        for file in sorted(ANSWERS.glob("*.json"))
        for name, kept in _answers_of(file.stem).items()
        if kept["status"] == status
    }
    return {"examples": found} if found else {}


def _answers_of(operation_id: str) -> dict[str, Any]:
    file = ANSWERS / f"{operation_id}.json"
    found: dict[str, Any] = json.loads(file.read_bytes()) if file.is_file() else {}
    return found
