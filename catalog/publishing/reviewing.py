"""From what an office sends to a revision, and from that to the report on it: pure functions."""

from collections.abc import Callable, Mapping, Sequence

import msgspec
from msgspec import structs

from catalog.compiling import compile_revision
from catalog.differences import RowChange, differences
from catalog.impact import Progress, impact_of, untold, with_rows_of
from catalog.index import Index
from catalog.loading import BadCell
from catalog.plausibility import doubts_of
from catalog.plausibility.doubt import Doubt, in_order
from catalog.publishing.coverage import coverage_doubts
from catalog.publishing.grades import grade_doubts
from catalog.publishing.refusing import refusals_of
from catalog.publishing.shapes import REPORT_FORMAT, Refusal, Report, Review, refusal_of_cell
from catalog.publishing.unread import replaced_doubts, unread, unread_doubts, withdrawn_doubts
from catalog.revision import Revision, digest, revision_of
from catalog.rows import TABLES, AnyRow
from catalog.seed import shipped_spares
from catalog.standing import Standing
from catalog.terms import RULES_VERSION
from catalog.withdrawing import WithdrawnRow, by_ref, withdrawn_in

Reporter = Callable[[Revision, Revision, Sequence[WithdrawnRow], Progress], Report]
"""Makes the report on a revision against another, with the rows that are withdrawn."""


def review(
    tables: Mapping[str, Sequence[AnyRow]],
    bad_cells: Sequence[BadCell],
    base: Revision | None,
    against: Revision,
) -> Review:
    """Look at tables that were read: every refusal, or the revision that they are.

    Tables that were not sent are those of `base`; without a base all of them must be there.
    `against` is the revision that answers now.
    """
    refusals = [refusal_of_cell(bad) for bad in bad_cells]
    if base is None:
        refusals += _missing(tables, {bad.table for bad in bad_cells})
    if refusals:
        return Review(revision=None, refusals=tuple(refusals))
    revision = revision_of({**({} if base is None else base.tables), **tables})
    return Review(revision=revision, refusals=refusals_of(revision, against))


def report_on(
    revision: Revision,
    against: Revision,
    withdrawn: Sequence[WithdrawnRow] = (),
    progress: Progress = untold,
) -> Report:
    """Report on a sound revision against another, as the bench would be answered by each.

    Answers that rest on a withdrawn row are rejected in the replay as they are at the bench.

    Errors: `CompileError` where one of them is not sound.
    """
    # Rows that no question reads come first: they are shown nowhere else.
    rows = tuple(sorted(differences(against, revision), key=lambda row: not unread(row)))
    revision = with_rows_of(against, revision)
    return Report(
        format=REPORT_FORMAT,
        rules=RULES_VERSION,
        revision=revision.id,
        against=against.id,
        withdrawals=len(withdrawn),
        rows=rows,
        doubts=doubts_on(revision, against, rows, withdrawn),
        impact=impact_of(
            _standing(against, withdrawn),
            _standing(revision, withdrawn),
            # A row that came or went changes its whole table.
            {f"{row.table}.{cell.column}" for row in rows for cell in row.cells}
            | {row.table for row in rows},
            progress,
        ),
        converted=(),
    )


def doubts_on(
    revision: Revision,
    against: Revision,
    rows: Sequence[RowChange],
    withdrawn: Sequence[WithdrawnRow] = (),
) -> tuple[Doubt, ...]:
    """Doubts about a revision, about what it changes, and about what no replay would show of it."""
    found = [*doubts_of(revision, against), *unread_doubts(rows), *replaced_doubts(rows)]
    found += grade_doubts(revision, against)
    found += withdrawn_doubts(by_ref(revision), rows, withdrawn)
    found += coverage_doubts(_compiled(revision), _compiled(against))
    return in_order(found)


def _standing(revision: Revision, withdrawn: Sequence[WithdrawnRow]) -> Index:
    standing = Standing(rows=withdrawn_in(by_ref(revision), withdrawn))
    return structs.replace(_compiled(revision), standing=standing)


def _compiled(revision: Revision) -> Index:
    return compile_revision(revision, shipped_spares())


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
            rule="table-missing",
            message=f"the table `{name}` is not there, and no base is named to take it from",
            remedy="send all tables, or name the revision that the others are taken from as base",
        )
        for name in TABLES
        if name not in tables and name not in told
    ]
