"""Many errors told in one problem: counted, and cut where they would make the answer too long."""

from collections.abc import Iterable
from typing import Final

from service.edge.problems import FieldError, ProblemError

MOST_TOLD: Final = 200
"""Errors that one problem tells; it says how many there are."""
MOST_TOLD_LETTERS: Final = 65_536
"""Letters of pointers and details after which no more errors are told."""
MOST_COUNTED: Final = 1000
"""Errors that are counted: a body made to be wrong must not keep the service busy."""


def refuse_if_any(errors: Iterable[FieldError], kind: str) -> None:
    """Raise the problem of these errors; nothing where there are none."""
    told: list[FieldError] = []
    count = letters = 0
    for error in errors:
        if count == MOST_COUNTED:
            raise _problem(kind, told, count, "more than ")
        count += 1
        if len(told) < MOST_TOLD and letters < MOST_TOLD_LETTERS:
            told.append(error)
            letters += len(error.pointer) + len(error.detail)
    if count:
        raise _problem(kind, told, count)


def _problem(kind: str, told: list[FieldError], count: int, over: str = "") -> ProblemError:
    detail = f"{over}{count} error{'s' if count != 1 else ''}"
    if len(told) < count:
        detail += f", the first {len(told)} are told"
    return ProblemError(kind, detail, tuple(told), error_count=count)
