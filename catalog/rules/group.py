"""Rules are grouped by what they judge: where that is not known, they have nothing to say."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Generic, TypeVar

from msgspec import Struct

from catalog.rules.raised import Raised

T = TypeVar("T")


class Group(Struct, Generic[T], frozen=True, eq=False):
    """Rules over one class of subject, in the order of their findings.

    INVARIANT: where a question has no such subject, something that was not stated, or is not
    known, has a finding of its own.
    """

    over: type[T]
    rules: tuple[Callable[[T], Iterator[Raised]], ...]


def raised_by(groups: Iterable[Group[Any]], subjects: Mapping[type, Any]) -> list[Raised]:
    """What the rules find in the subjects of a question, each by its class."""
    return [
        raised
        for group in groups
        if (subject := subjects.get(group.over)) is not None
        for rule in group.rules
        for raised in rule(subject)
    ]
