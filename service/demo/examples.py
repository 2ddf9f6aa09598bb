"""The example questions of `openapi/examples`, and whether an answer is as each expects."""

from pathlib import Path
from typing import Any, Final

import msgspec
from msgspec import UNSET, Struct, UnsetType, field

from service.edge.examples import EXAMPLES

WITHIN: Final = 1e-4
"""Expected numbers are worked by hand to about five digits."""


class Expected(Struct, frozen=True, forbid_unknown_fields=True):
    """What an example expects: status, verdict, codes among the findings, values at pointers."""

    status: int
    verdict: str | UnsetType = UNSET
    codes: tuple[str, ...] = ()
    contains: dict[str, Any] = field(default_factory=dict)
    absent: tuple[str, ...] = ()
    pointers: tuple[str, ...] = ()


class Example(Struct, frozen=True, forbid_unknown_fields=True):
    """One question with who asks it, why its answer is known, and what that is."""

    name: str
    caller: str
    question: str
    operation: str
    method: str
    path: str
    body: dict[str, Any] | None
    why: str
    expect: Expected


def examples(folder: Path = EXAMPLES) -> dict[str, Example]:
    """Every example by its file's name, in order."""
    return {
        file.stem: msgspec.json.decode(file.read_bytes(), type=Example)
        for file in sorted(folder.glob("*.json"))
    }


def differences(expected: Expected, status: int, answer: Any) -> list[str]:
    """Where an answer is not as expected, in words; none where it is."""
    found = []
    if status != expected.status:
        found.append(f"status {status}, expected {expected.status}")
    if expected.verdict is not UNSET and answer.get("verdict") != expected.verdict:
        found.append(f"verdict {answer.get('verdict')}, expected {expected.verdict}")
    found += [f"no finding {code}" for code in expected.codes if code not in _codes(answer)]
    for pointer, value in expected.contains.items():
        given = at(answer, pointer)
        if not _alike(given, value):
            found.append(f"{pointer} is {given}, expected {value}")
    found += [
        f"{pointer} stands there" for pointer in expected.absent if at(answer, pointer) is not None
    ]
    told = {error["pointer"] for error in answer.get("errors", ())}
    if expected.pointers and told != set(expected.pointers):
        found.append(f"errors at {sorted(told)}, expected {sorted(expected.pointers)}")
    return found


def at(answer: Any, pointer: str) -> Any:
    """Value at a JSON pointer, None where there is none."""
    for part in pointer[1:].split("/"):
        if isinstance(answer, list):
            answer = answer[int(part)] if int(part) < len(answer) else None
        elif isinstance(answer, dict):
            answer = answer.get(part)
        else:
            return None
    return answer


def _codes(answer: Any) -> set[str]:
    items = (answer, *answer.get("items", ()))
    return {finding["code"] for item in items for finding in item.get("findings", ())}


def _alike(given: Any, value: Any) -> bool:
    # A truth is no number, although Python counts with it.
    if isinstance(given, bool) or isinstance(value, bool):
        return given is value
    if not isinstance(value, int | float) or not isinstance(given, int | float):
        return bool(given == value)
    return abs(given - value) <= WITHIN * max(abs(value), 1)
