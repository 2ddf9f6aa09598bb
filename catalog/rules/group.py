"""Rules are grouped by what they judge: where that is not known, they have nothing to say."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any, Generic, TypeVar

from msgspec import Struct

from catalog.rules.raised import Raised

T = TypeVar("T")


class Group(Struct, Generic[T], frozen=True, eq=False):
    """Rules over one class of subject, in the order of their findings.

    `lasting` says that a subject that is met again is equal in all that the rules read (the same
    object, or one of the same rows and units), so that what they find in it is remembered.

    INVARIANT: where a question has no such subject, something that was not stated, or is not
    known, has a finding of its own.
    """

    over: type[T]
    rules: tuple[Callable[[T], Iterator[Raised]], ...]
    lasting: bool = False


def raised_by(groups: Iterable[Group[Any]], subjects: Mapping[type, Any]) -> list[Raised]:
    """What the rules find in the subjects of a question, each by its class."""
    found: list[Raised] = []
    for group in groups:
        if (subject := subjects.get(group.over)) is not None:
            found += lasting(group, subject) if group.lasting else _raised(group, subject)
    return found


def _raised(group: Group[T], subject: T) -> tuple[Raised, ...]:
    return tuple(raised for rule in group.rules for raised in rule(subject))


lasting = lru_cache(maxsize=8192)(_raised)
