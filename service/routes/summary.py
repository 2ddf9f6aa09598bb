"""A report in short, as a proposal and the report itself are answered."""

from typing import Final

from msgspec import Struct

from catalog.differences import RowChange
from catalog.impact import RatingChange, TargetChange, Totals
from catalog.plausibility import Doubt
from catalog.publishing import Report

SHOWN: Final = 100
"""Entries of each kind that are shown with a proposal; the report has all, page by page."""


class ReportSummary(Struct, frozen=True, kw_only=True):
    """What a report says in short; `strong` must be acknowledged one by one with a reason.

    Of `rows`, `changes` and `ratings` the first are shown, gravest or largest first; the totals
    count them all.
    """

    digest: str
    revision: str
    against: str
    rules: str
    totals: Totals
    row_changes: int
    strong: tuple[str, ...]
    doubts: tuple[Doubt, ...]
    rows: tuple[RowChange, ...]
    changes: tuple[TargetChange, ...]
    ratings: tuple[RatingChange, ...]
    not_replayed: tuple[str, ...]


def summary_of(report: Report, digest: str) -> ReportSummary:
    """Report in short."""
    return ReportSummary(
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
        not_replayed=report.impact.not_replayed,
    )
