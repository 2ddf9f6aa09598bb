"""A name that stands twice in one object is refused: which of the two is meant cannot be known."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.edge.json_text import doubled_names, may_be_doubled


def pointers(body: bytes) -> list[str]:
    return [error.pointer for error in doubled_names(body)]


@pytest.mark.parametrize(
    ("body", "told"),
    [
        (b'{"a": 1, "b": {"a": 1}}', []),
        (b'[{"a": 1}, {"a": 1}]', []),
        (b'{"a": 1, "a": 1}', ["/a"]),
        (b'{"a": {"b": 1, "b": 2, "c": [{"d": 1, "d": 2}]}}', ["/a/b", "/a/c/0/d"]),
        (b'{"a/b": 1, "a/b": 2}', ["/a~1b"]),
        # the same name, once written with an escape
        (rb'{"a": 1, "\u0061": 2}', ["/a"]),
        # an escaped colon in a text must not make up for the one that is lost
        (rb'{"a": 1, "a": 2, "t": "\u003a"}', ["/a"]),
        (rb'{"a": 1, "a": 2, "t": "\u003A:"}', ["/a"]),
        (b'{"a": ":::", "a": 2, "t": ":"}', ["/a"]),
        # what stands inside the first of two is dropped by a decoder; it is told all the same
        (b'{"a": {"x": 1, "x": 2}, "a": {"y": 1}, "b": {"x": 1}}', ["/a", "/a/x"]),
    ],
)
def test_each_doubled_name_is_told_where_it_stands(body: bytes, told: list[str]) -> None:
    assert pointers(body) == told


def members(value: Any) -> st.SearchStrategy[tuple[str, bool]]:
    return st.lists(st.tuples(st.sampled_from(["a", "b", "c:d", "\u00e9"]), value), max_size=4).map(
        lambda pairs: (
            "{" + ",".join(f"{json.dumps(n, ensure_ascii=False)}:{v}" for n, (v, _) in pairs) + "}",
            len({n for n, _ in pairs}) < len(pairs) or any(twice for _, (_, twice) in pairs),
        )
    )


LEAVES = st.one_of(
    st.integers(-9, 9).map(lambda n: (str(n), False)),
    st.text(':,"\\a\u00e9{}', max_size=4).map(lambda t: (json.dumps(t, ensure_ascii=False), False)),
    st.just(('"\\u003a"', False)),
)
TEXTS = st.recursive(LEAVES, members, max_leaves=12)


@given(TEXTS)
def test_no_doubled_name_slips_through(made: tuple[str, bool]) -> None:
    # The strategy knows whether it wrote a name twice; the text is read by nothing of ours.
    text, twice = made
    body = text.encode()
    assert bool(pointers(body)) == twice
    if twice:
        assert may_be_doubled(body)
