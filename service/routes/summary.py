"""A report in short, as a proposal and the report itself are answered."""

from typing import Annotated, Final

from msgspec import Struct

from catalog.differences import RowChange
from catalog.impact import RatingChange, TargetChange, Totals
from catalog.loading import Conversion
from catalog.plausibility import Doubt
from catalog.publishing import Report, headline_of
from catalog.wanted import about

SHOWN: Final = 100
"""Entries of each kind that are shown with a proposal; the report has all, page by page."""


class ReportSummary(Struct, frozen=True, kw_only=True):
    """What a report says in short; `strong` must be acknowledged one by one with a reason.

    Of `rows`, `changes` and `ratings` the first are shown, gravest or largest first; the totals
    count them all.
    """

    headline: Annotated[str, about("what it says in one sentence")]
    digest: Annotated[str, about("sha256 of the whole report, which an approval names")]
    revision: Annotated[str, about("id of the proposed revision")]
    against: Annotated[str, about("id of the revision that it is compared with")]
    rules: Annotated[str, about("version of the rules that it was made by")]
    totals: Annotated[Totals, about("how many of each kind")]
    row_changes: Annotated[int, about("how many rows differ")]
    strong: Annotated[tuple[str, ...], about("ids of the doubts that must be acknowledged")]
    doubts: Annotated[tuple[Doubt, ...], about("everything that looks wrong")]
    rows: Annotated[tuple[RowChange, ...], about(f"the first {SHOWN} rows that differ")]
    changes: Annotated[
        tuple[TargetChange, ...],
        about(f"the first {SHOWN} press targets that are answered otherwise"),
    ]
    ratings: Annotated[tuple[RatingChange, ...], about(f"the first {SHOWN} ratings that differ")]
    converted_count: Annotated[int, about("how many cells were converted")]
    converted: Annotated[
        tuple[Conversion, ...],
        about(
            f"the first {SHOWN} cells sent in another unit or with a decimal comma, and what they "
            "became"
        ),
    ]
    not_replayed: Annotated[
        tuple[str, ...], about("tables and columns that changed and that no question here reads")
    ]


def summary_of(report: Report, digest: str) -> ReportSummary:
    """Report in short."""
    return ReportSummary(
        headline=headline_of(report),
        digest=digest,
        revision=report.revision,
        against=report.against,
        rules=report.rules,
        totals=report.impact.totals,
        row_changes=len(report.rows),
        strong=report.strong,
        doubts=report.doubts,
        rows=report.rows[:SHOWN],
        changes=report.impact.changes[:SHOWN],
        ratings=report.impact.ratings[:SHOWN],
        converted_count=len(report.converted),
        converted=report.converted[:SHOWN],
        not_replayed=report.impact.not_replayed,
    )
