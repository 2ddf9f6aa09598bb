"""A client of older days is told the word of today."""

import json
from typing import Any

import pytest

from catalog.questions import SetupCheckQuestion
from service.edge.decoding import decoded
from service.edge.problems import ProblemError

# The pointer, the body, and what the error must say.
OLD: dict[str, tuple[dict[str, Any], str]] = {
    "/fitting/ring_style": (
        {"fitting": {"ring_style": "soft-seal"}},
        "`soft-seal` is called `elastomer-sealed` now",
    ),
    "/closing_reading": (
        {"closing_reading": {"value": 90, "unit": "bar"}},
        "no such field, it is called `contact_reading` now",
    ),
}


@pytest.mark.parametrize("pointer", OLD)
def test_a_renamed_word_is_answered_with_the_new_one(pointer: str) -> None:
    body, words = OLD[pointer]
    with pytest.raises(ProblemError) as refused:
        decoded(json.dumps(body).encode(), SetupCheckQuestion)
    assert refused.value.kind == "not-our-form"
    (error,) = refused.value.errors
    assert error.pointer == pointer
    assert words in error.detail


def test_a_word_that_was_never_one_is_not() -> None:
    with pytest.raises(ProblemError) as refused:
        decoded(b'{"fitting": {"ring_style": "hard-seal"}}', SetupCheckQuestion)
    (error,) = refused.value.errors
    assert "is called" not in error.detail
