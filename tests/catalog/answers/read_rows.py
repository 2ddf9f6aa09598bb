"""Which rows an answer was read from, learnt without looking at how it was made.

Each row of the tables is changed by a little or taken out, and the question is asked again: where
the bytes of the answer change, the answer rests on that row. What only a larger change would show
is not seen, so the rows found are the least that an answer rests on, never the most.

Many rows are changed at once, and those halved of which an answer shows any, until it is one: most
rows are shown by no answer, and are done with together.
"""

import random
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from typing import Any

import msgspec
from msgspec import structs
from msgspec.inspect import LiteralType, type_info

from catalog.compiling import CompileError, compile_revision
from catalog.index import Index
from catalog.revision import Revision
from catalog.rows import TABLES, AnyRow

Answer = Callable[[Index], Any]
Changes = dict[str, AnyRow | None]
"""Rows by their names as they are changed, None for one that is taken out."""
LARGE = ("targets", "tubes", "cautions", "cases")
SAMPLE = 15
"""Rows taken of a large table, besides those that the caller asks for."""
LOTS = 8
"""As many as a shop has gauges: no two of them are changed at once."""


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

    def look(changes: Changes, names: Collection[str]) -> None:
        other = _index_with(revision, changes)
        if other is not None:
            tried.update(changes)
            names = [name for name in names if answer_bytes(other, questions[name]) != was[name]]
        if len(changes) > 1 and names:
            refs, half = list(changes), len(changes) // 2
            for part in (refs[:half], refs[half:]):
                look({ref: changes[ref] for ref in part}, names)
        elif other is not None:
            for name in names:
                shown[name].update(changes)

    for changes in _rounds(_sample(revision, set(beside), seed)):
        for names, unseen in _unseen(changes, shown).items():
            for lot in _dealt(unseen):
                look(lot, names)
    return tried, shown


def _unseen(
    changes: Changes, shown: Mapping[str, Collection[str]]
) -> dict[tuple[str, ...], Changes]:
    """Changes by the questions whose answers do not show the row yet.

    What an answer shows already would hide what is changed beside it.
    """
    unseen: dict[tuple[str, ...], Changes] = defaultdict(dict)
    for ref, changed in changes.items():
        if names := tuple(name for name, refs in shown.items() if ref not in refs):
            unseen[names][ref] = changed
    return unseen


def _dealt(changes: Changes) -> Iterator[Changes]:
    """Changes in a few lots: of two rows that stand near each other one may hide the other.

    Of two plates of a size the stronger counts, and both a little stronger are as they were.
    """
    tables: dict[str, list[str]] = defaultdict(list)
    for ref in changes:
        tables[ref.partition("/")[0]].append(ref)
    for n in range(min(LOTS, max(map(len, tables.values())))):
        yield {ref: changes[ref] for refs in tables.values() for ref in refs[n::LOTS]}


def _rounds(rows: Iterable[AnyRow]) -> Iterator[Changes]:
    """Every change of every row, as many at once as there are rows; last of all they are out."""
    changes = {row.ref: tuple(_changed(row)) for row in rows}
    for n in range(max(map(len, changes.values()))):
        yield {ref: each[n] for ref, each in changes.items() if n < len(each)}
    yield dict.fromkeys(changes)


def _sample(revision: Revision, beside: set[str], seed: int) -> Iterator[AnyRow]:
    rng = random.Random(seed)  # noqa: S311 - a sample, no secret
    for name, rows in revision.tables.items():
        named = [row for row in rows if row.ref in beside]
        others = [row for row in rows if row.ref not in beside]
        if name in LARGE:
            others = rng.sample(others, min(SAMPLE, len(others)))
        yield from (*named, *others)


def _index_with(revision: Revision, changes: Changes) -> Index | None:
    """Index in which rows are others or are gone, under the same id; None where that is unfit."""
    tables = dict(revision.tables)
    for name in {ref.partition("/")[0] for ref in changes}:
        with_them = (changes.get(row.ref, row) for row in tables[name])
        tables[name] = tuple(row for row in with_them if row is not None)
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
