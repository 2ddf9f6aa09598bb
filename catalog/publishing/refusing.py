"""Every reason why tables that could be read are no revision all the same."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from catalog.casework import case_faults
from catalog.checking import Fault
from catalog.compiling import compile_revision, faults_beyond
from catalog.impact import MOST_QUESTIONS, questions_of
from catalog.index import Index
from catalog.loading import cell_text
from catalog.publishing.grades import is_raised, raised_rows
from catalog.publishing.shapes import Refusal
from catalog.revision import FORMAT, Revision, rows_of
from catalog.rows import AnyRow, Caution, Fluid, Source
from catalog.withdrawing import by_ref

CASE_REMEDY: Final = "mend the table, or work the case out anew by hand and write its arithmetic"


def refusals_of(
    revision: Revision, before: Revision | None, spares: Sequence[Caution | Source | Fluid] = ()
) -> tuple[Refusal, ...]:
    """What is wrong with a revision, all at once; its own cases are asked once the rest is right.

    `before` is the revision that it is to replace: a grade may rise over it only with a note.
    `spares` are those of `compile_revision`: a stored revision may be older than the program.
    """
    rows = by_ref(revision)
    faults = [_refusal(rows, fault) for fault in faults_beyond(revision, spares)]
    if before is not None:
        faults += _grades_raised(revision, before)
    if faults:
        return tuple(faults)
    index = compile_revision(revision, spares)
    if revision.manifest.format != FORMAT:
        return ()  # its cases and its size were judged by the rules of its day
    if wrong := tuple(_of_case(text) for text in case_faults(index)):
        return wrong
    return tuple(_too_much(index))


def _too_much(index: Index) -> Iterator[Refusal]:
    count = questions_of(index)
    if count > MOST_QUESTIONS:
        message = (
            f"the tables can be asked {count} press targets (sizes, rings and inserts by presses "
            f"with gauges), limit {MOST_QUESTIONS}: no report could be made of them"
        )
        remedy = "take out presses, gauges or tubes that the shop does not have"
        yield Refusal(
            table="presses",
            value=str(count),
            rule="too-many-questions",
            message=message,
            remedy=remedy,
        )


def _refusal(rows: Mapping[str, AnyRow], fault: Fault) -> Refusal:
    table = fault.row.partition("/")[0]
    row = rows.get(fault.row)
    # The cell of a column, or those of a key of several columns (`series, od_mm`).
    cells = [
        cell_text(getattr(row, column))
        for column in fault.column.split(", ")
        if hasattr(row, column)
    ]
    return Refusal(
        table=table,
        row=fault.row,
        column=fault.column,
        value=", ".join(cells)[:200],
        rule=fault.rule,
        message=fault.message,
        remedy=fault.remedy,
    )


def _grades_raised(revision: Revision, before: Revision) -> Iterator[Refusal]:
    """Sources that are trusted more, and rows that rest on a better one, without why."""
    old = {source.id: source for source in rows_of(before, Source)}
    for source in rows_of(revision, Source):
        was = old.get(source.id)
        if was is not None and is_raised(source, was) and _unexplained(source, was):
            yield _grade_refusal(source.ref, "grade", source.grade, was.grade, source.ref)
    for each in raised_rows(revision, before):
        if _unexplained(each.now, old.get(each.now.id)):
            yield _grade_refusal(each.row, each.column, each.now.id, each.was.id, each.now.ref)


def _unexplained(source: Source, was: Source | None) -> bool:
    """Whether the note of a source is blank, or as it was before anything rose by it."""
    return source.note in {"", "" if was is None else was.note}


def _grade_refusal(row: str, column: str, value: str, was: str, source: str) -> Refusal:
    return Refusal(
        table=row.partition("/")[0],
        row=row,
        column=column,
        value=value,
        rule="grade-raised",
        message=f"`{value}` is trusted more than `{was}` before it, and no note says why",
        remedy=f"write into the note of {source} who read which document, and when",
    )


def _of_case(text: str) -> Refusal:
    row, _, message = text.partition(": ")
    return Refusal(
        table="cases",
        row=row,
        rule="own-case",
        message=message,
        remedy=CASE_REMEDY,
    )
