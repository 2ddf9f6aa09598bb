"""From what an office sends to a revision with its report: one pure function."""

from collections.abc import Callable, Mapping, Sequence

import msgspec

from catalog.compiling import compile_revision
from catalog.differences import RowChange, differences
from catalog.impact import Progress, impact_of, untold
from catalog.loading import BadCell
from catalog.plausibility import doubts_of
from catalog.publishing.refusing import refusals_of
from catalog.publishing.shapes import REPORT_FORMAT, Refusal, Report, Review, refusal_of_cell
from catalog.revision import Revision, digest, revision_of
from catalog.rows import TABLES, AnyRow
from catalog.terms import RULES_VERSION

Reporter = Callable[[Revision, Revision, Progress], Report]
"""Makes the report on a revision against another."""


def review(
    tables: Mapping[str, Sequence[AnyRow]],
    bad_cells: Sequence[BadCell],
    base: Revision | None,
    against: Revision,
    progress: Progress = untold,
    reporter: Reporter | None = None,
) -> Review:
    """Look at tables that were read: every refusal, or the revision with a report on it.

    Tables that were not sent are those of `base`; without a base all of them must be there. The
    report is against the revision that answers now; `reporter` makes it, `report_on` unless given.
    """
    refusals = [refusal_of_cell(bad) for bad in bad_cells]
    if base is None:
        refusals += _missing(tables, {bad.table for bad in bad_cells})
    if refusals:
        return Review(revision=None, refusals=tuple(refusals), report=None)
    revision = revision_of({**({} if base is None else base.tables), **tables})
    found = refusals_of(revision, against)
    if found:
        return Review(revision=revision, refusals=found, report=None)
    report = (reporter or report_on)(revision, against, progress)
    return Review(revision=revision, refusals=(), report=report)


def report_on(revision: Revision, against: Revision, progress: Progress = untold) -> Report:
    """Report on a sound revision against another.

    Errors: `CompileError` where one of them is not sound.
    """
    rows = differences(against, revision)
    return Report(
        format=REPORT_FORMAT,
        rules=RULES_VERSION,
        revision=revision.id,
        against=against.id,
        rows=rows,
        doubts=doubts_of(revision, against),
        impact=impact_of(
            compile_revision(against),
            compile_revision(revision),
            _changed(rows),
            progress,
        ),
    )


def _changed(rows: Sequence[RowChange]) -> set[str]:
    """Tables with changed rows, and the columns of rows that are there before and after."""
    columns = {
        f"{row.table}.{cell.column}" for row in rows if row.kind == "changed" for cell in row.cells
    }
    return columns | {row.table for row in rows}


def report_bytes(report: Report) -> bytes:
    """Report as it is kept and sent; its digest is that of these bytes."""
    return msgspec.json.encode(report)


def report_digest(report: Report) -> str:
    """What an approver approves."""
    return digest(report_bytes(report))


def _missing(tables: Mapping[str, Sequence[AnyRow]], told: set[str]) -> list[Refusal]:
    return [
        Refusal(
            table=name,
            row="",
            column="",
            value="",
            rule="table-missing",
            message=f"the table `{name}` is not there, and no base is named to take it from",
            remedy="send all tables, or name the revision that the others are taken from as base",
        )
        for name in TABLES
        if name not in tables and name not in told
    ]
