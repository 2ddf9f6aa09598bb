"""Grades that rise: a source that is trusted more, or rows that move to a source that is.

A grade decides which cautions an answer carries, so it may not slip upward unexplained.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator

from msgspec import Struct

from catalog.plausibility.doubt import Doubt, doubt
from catalog.plausibility.naming import MOST_NAMED, listed
from catalog.revision import Revision, rows_of
from catalog.rows import Row, Source
from catalog.terms import GRADES
from catalog.withdrawing import by_ref


class RaisedRow(Struct, frozen=True, kw_only=True):
    """A row whose source is trusted more than the one that it had before."""

    row: str
    column: str
    was: Source
    now: Source


def is_raised(now: Source, was: Source) -> bool:
    """Whether a source is trusted more than another one."""
    return GRADES.index(now.grade) < GRADES.index(was.grade)


def raised_rows(revision: Revision, before: Revision) -> Iterator[RaisedRow]:
    """Rows that rest on another source than before, of a better grade.

    What rested on nothing before did not rise, nor did a row that is new.
    """
    old = {source.id: source for source in rows_of(before, Source)}
    new = {source.id: source for source in rows_of(revision, Source)}
    rows = by_ref(before)
    for table in revision.tables.values():
        for row in table:
            earlier = rows.get(row.ref)
            if not isinstance(row, Row) or not isinstance(earlier, Row):
                continue
            for column in row.source_columns:
                now = new.get(getattr(row, column) or "")
                was = old.get(getattr(earlier, column) or "")
                if now is None or was is None or now.id == was.id:
                    continue
                if is_raised(now, was):
                    yield RaisedRow(row=row.ref, column=column, was=was, now=now)


def grade_doubts(revision: Revision, before: Revision) -> Iterator[Doubt]:
    """Strong doubts where sources, or the sources of rows, are trusted more than before."""
    old = {source.id: source for source in rows_of(before, Source)}
    raised = [
        f"`{source.ref}` {old[source.id].grade if source.id in old else 'new'} -> {source.grade}"
        for source in rows_of(revision, Source)
        if _is_doubtful(source, old.get(source.id))
    ]
    remedy = "see the documents, and say who read them"
    if raised:
        message = (
            f"{len(raised)} sources are trusted more: answers lose the caution that says so: "
            + "; ".join(raised[:MOST_NAMED])
        )
        yield doubt("grade-raised", "strong", (), "grade", message, remedy, about="sources")
    moved: dict[tuple[Source, Source], list[RaisedRow]] = defaultdict(list)
    for each in raised_rows(revision, before):
        moved[each.was, each.now].append(each)
    for (was, now), rows in moved.items():
        yield _moved(was, now, rows, remedy)


def _is_doubtful(source: Source, was: Source | None) -> bool:
    if was is None:
        return GRADES.index(source.grade) < GRADES.index("secondary")
    return is_raised(source, was)


def _moved(was: Source, now: Source, moved: list[RaisedRow], remedy: str) -> Doubt:
    rows = list(dict.fromkeys(each.row for each in moved))
    tables = Counter(row.partition("/")[0] for row in rows)
    counts = ", ".join(f"{count} of {table}" for table, count in tables.items())
    message = (
        f"{len(rows)} rows ({counts}) rest on `{now.id}` ({now.grade}) and not on `{was.id}` "
        f"({was.grade}) any more: answers on them lose the caution that says so: {listed(rows)}"
    )
    about = f"{was.id}..{now.id}"
    return doubt("grade-raised", "strong", rows, "source", message, remedy, about=about)
