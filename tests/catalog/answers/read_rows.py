"""Which rows an answer was read from, learnt without looking at how it was made.

Each row of the tables is changed by a little or taken out, and the question is asked again: where
the bytes of the answer change, the answer rests on that row. What only a larger change would show
is not seen, so the rows found are the least that an answer rests on, never the most.
"""

import random
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

import msgspec
from msgspec import structs
from msgspec.inspect import LiteralType, type_info

from catalog.compiling import CompileError, compile_revision
from catalog.index import Index
from catalog.revision import Revision
from catalog.rows import TABLES, AnyRow

Answer = Callable[[Index], Any]
LARGE = ("targets", "tubes", "cautions", "cases")
SAMPLE = 15
"""Rows taken of a large table, besides those that the caller asks for."""


def answer_bytes(index: Index, ask: Answer) -> bytes:
    """Answer to a question as it is sent."""
    return msgspec.json.encode(ask(index))


def read_rows(
    revision: Revision, questions: Mapping[str, Answer], beside: Iterable[str] = (), seed: int = 0
) -> tuple[set[str], dict[str, set[str]]]:
    """Rows that were changed, and for each question those whose change its answer shows.

    Of a large table only a seeded sample is changed, and the rows named in `beside`.
    """
    index = compile_revision(revision)
    was = {name: answer_bytes(index, ask) for name, ask in questions.items()}
    shown: dict[str, set[str]] = {name: set() for name in questions}
    tried: set[str] = set()
    for row in _sample(revision, set(beside), seed):
        for changed in (*_changed(row), None):
            other = _index_with(revision, row, changed)
            if other is None:
                continue
            tried.add(row.ref)
            for name, ask in questions.items():
                if row.ref not in shown[name] and answer_bytes(other, ask) != was[name]:
                    shown[name].add(row.ref)
    return tried, shown


def _sample(revision: Revision, beside: set[str], seed: int) -> Iterator[AnyRow]:
    rng = random.Random(seed)  # noqa: S311 - a sample, no secret
    for name, rows in revision.tables.items():
        named = [row for row in rows if row.ref in beside]
        others = [row for row in rows if row.ref not in beside]
        if name in LARGE:
            others = rng.sample(others, min(SAMPLE, len(others)))
        yield from (*named, *others)


def _index_with(revision: Revision, row: AnyRow, changed: AnyRow | None) -> Index | None:
    """Index in which a row is another or is gone, under the same id; None where that is unfit."""
    with_it = (changed if each is row else each for each in revision.tables[row.table])
    rows = tuple(each for each in with_it if each is not None)
    tables = {**revision.tables, row.table: rows}
    try:
        return compile_revision(structs.replace(revision, tables=tables))
    except CompileError:
        return None


def _changed(row: AnyRow) -> Iterator[AnyRow]:
    """The row with its numbers a little higher, a little lower, and each other column changed."""
    # To change a name, or the od that a row is for, is to take the row out.
    columns = [c for c in row.__struct_fields__ if c not in (*row.key_columns, "od_mm")]
    numbers = {c: v for c in columns if _is_number(v := getattr(row, c))}
    for by in (1.001, 0.999):
        scaled = {c: _scaled(v, by) for c, v in numbers.items()}
        allowed = {c: v for c, v in scaled.items() if with_columns(row, {c: v}) is not None}
        if allowed and (other := with_columns(row, allowed)) is not None:
            yield other
    for column in columns:
        value = getattr(row, column)
        if column not in numbers and value is not None:
            for each in others(row, column, value):
                if (other := with_columns(row, {column: each})) is not None:
                    yield other


def with_columns(row: AnyRow, columns: dict[str, Any]) -> AnyRow | None:
    """The row with other values, None where its table cannot hold them."""
    try:
        return msgspec.convert({**msgspec.to_builtins(row), **columns}, TABLES[row.table])
    except msgspec.ValidationError:
        return None


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _scaled(value: float, by: float) -> float:
    if isinstance(value, int):
        return value + (1 if by > 1 else -1)
    return value * by if value else max(by - 1, 0.0)


def others(row: AnyRow, column: str, value: Any) -> Iterator[Any]:
    """Something else that may stand in a column.

    The family of a grade stays: another metal is no little change, and moves tubes of a whole
    standard among those that are taken for one another.
    """
    if (row.table, column) == ("materials", "family"):
        return
    kind = next(f.type for f in type_info(TABLES[row.table]).fields if f.name == column)  # type: ignore[attr-defined]
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, tuple):
        yield value[:-1]
    elif column.endswith("source"):
        yield "demo" if value != "demo" else "own-wording"
    elif isinstance(kind, LiteralType):
        yield from (each for each in kind.values if each != value)
    else:
        yield f"{value} or so"
