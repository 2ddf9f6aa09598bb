"""A query is of the form asked, to the letter, or everything that is wrong with it is told."""

from datetime import date
from typing import Annotated, Literal

import pytest
from msgspec import UNSET, Meta, Struct, UnsetType, field

from service.edge.problems import ProblemError
from service.edge.query import LONGEST_BYTES, asked


class Filter(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    limit: Annotated[int, Meta(ge=1, le=100)] = 20
    least: Annotated[float, Meta(gt=0, le=10)] | UnsetType = UNSET
    name: Annotated[str, Meta(max_length=20)] | None = None
    only: Literal["a", "b"] | UnsetType = UNSET
    version: Literal[1, 2] | UnsetType = UNSET
    all: bool = False
    since: date | UnsetType = UNSET
    start: str | UnsetType = field(name="from", default=UNSET)


class Needed(Struct, frozen=True):
    after: Annotated[int, Meta(ge=0)]


def errors(query: bytes, kind: type[Struct] = Filter) -> dict[str, str]:
    with pytest.raises(ProblemError) as told:
        asked(query, kind)
    assert (told.value.kind, told.value.status) == ("query", 400)
    found = {error.pointer: error.detail for error in told.value.errors}
    assert len(found) <= told.value.error_count == len(told.value.errors)
    return found


@pytest.mark.parametrize(
    ("query", "value"),
    [
        (b"", Filter()),
        (b"limit=1", Filter(limit=1)),
        (b"limit=100&all=true", Filter(limit=100, all=True)),
        (b"all=false", Filter()),
        (b"least=0.5", Filter(least=0.5)),
        (b"least=5", Filter(least=5.0)),
        (b"least=5e-1", Filter(least=0.5)),
        (b"name=null", Filter(name="null")),  # text, and no word for nothing
        (b"name=true", Filter(name="true")),
        (b"name=17", Filter(name="17")),
        (b"name=a%20b+c%2B", Filter(name="a b c+")),
        (b"name=%C3%A4=%3d", Filter(name="\u00e4==")),
        (b"n%61me=x", Filter(name="x")),
        (b"only=b", Filter(only="b")),
        (b"version=2", Filter(version=2)),
        (b"since=2026-03-02", Filter(since=date(2026, 3, 2))),
        (b"from=x", Filter(start="x")),
    ],
)
def test_a_query_is_read_to_its_types(query: bytes, value: Filter) -> None:
    assert asked(query, Filter) == value


@pytest.mark.parametrize(
    ("query", "pointer", "says"),
    [
        (b"limit=0", "/limit", "`0` is not a whole number at least 1 and at most 100"),
        (b"limit=101", "/limit", "at most 100"),
        (b"limit=5.0", "/limit", "`5.0` is not a whole number"),
        (b"limit=%2B5", "/limit", "`+5`"),
        (b"limit=+5", "/limit", "` 5`"),
        (b"limit=05", "/limit", "`05`"),
        (b"limit=1e1", "/limit", "`1e1`"),
        (b"limit=1_0", "/limit", "`1_0`"),
        (b"limit=5%0A", "/limit", "whole number"),
        (b"limit=%D9%A1", "/limit", "whole number"),  # a digit of another script
        (b"limit=" + b"9" * 5000, "/limit", "..."),
        (b"limit=null", "/limit", "`null`"),
        (b"limit=true", "/limit", "`true`"),
        (b"least=nan", "/least", "`nan` is not a number above 0"),
        (b"least=inf", "/least", "a number"),
        (b"least=.5", "/least", "a number"),
        (b"least=1e", "/least", "a number"),
        (b"least=1e999", "/least", "a number"),
        (b"least=0x1", "/least", "a number"),
        (b"all=1", "/all", "`1` is not true or false"),
        (b"all=True", "/all", "`True`"),
        (b"only=c", "/only", "one of `a`, `b`"),
        (b"version=3", "/version", "one of `1`, `2`"),
        (b"since=today", "/since", "a date"),
        (b"since=2026-02-30", "/since", "a date"),
        (b"name=" + b"x" * 21, "/name", "at most 20 letters"),
        (b"limit", "/limit", "is empty"),
        (b"limit=", "/limit", "is empty"),
        (b"name=", "/name", "is empty"),
        (b"limit=5&limit=5", "/limit", "stands 2 times"),
        (b"limit=5&l%69mit=6", "/limit", "stands 2 times"),
        (b"limt=5", "/limt", "did you mean `limit`"),
        (b"start=x", "/start", "no such parameter"),  # the name of callers, not ours
        (b"x=5", "/x", "the parameters are `limit`"),
        (b"a/b~c=5", "/a~1b~0c", "no such parameter"),
        (b"name=%", "/name", "cannot be read"),
        (b"name=%4", "/name", "cannot be read"),
        (b"name=%zz", "/name", "cannot be read"),
        (b"name=%FF", "/name", "UTF-8"),
        (b"name=%C0%80", "/name", "UTF-8"),
        (b"name=%ED%A0%80", "/name", "UTF-8"),  # half of a pair
        (b"name=\xff", "/name", "UTF-8"),
        (b"n%ff=1", "/n%ff", "cannot be read"),
        (b"&", "/", "has no name"),
        (b"limit=5&", "/", "has no name"),
        (b"limit=5&&all=true", "/", "has no name"),
        (b"=5", "/", "has no name"),
        (b"limit=5;all=true", "/limit", "`5;all=true`"),
    ],
)
def test_another_form_is_refused_at_its_name(query: bytes, pointer: str, says: str) -> None:
    told = errors(query)
    assert set(told) == {pointer}
    assert says in told[pointer]


def test_everything_is_told_at_once() -> None:
    told = errors(b"limit=0&least=x&x=1&y&name=%&all=yes&all=no&only=")
    assert set(told) == {"/limit", "/least", "/x", "/y", "/name", "/all", "/only"}


def test_what_is_needed_and_missing_is_told() -> None:
    assert asked(b"after=3", Needed) == Needed(3)
    assert errors(b"", Needed) == {"/after": "is missing: give a whole number at least 0"}
    assert set(errors(b"x=1", Needed)) == {"/after", "/x"}


def test_a_query_has_a_greatest_length_and_its_errors_too() -> None:
    with pytest.raises(ProblemError, match=f"limit {LONGEST_BYTES} bytes"):
        asked(b"name=" + b"x" * LONGEST_BYTES, Filter)
    with pytest.raises(ProblemError) as told:
        asked(b"&".join([b"%d=" % n for n in range(1500)]), Filter)
    assert told.value.error_count == 1000
    assert len(told.value.errors) == 200
