"""What comes of tables that an office sends: refusals, or a revision with a report on it."""

from msgspec import Struct

from catalog.differences import RowChange
from catalog.impact import Impact
from catalog.loading import BadCell
from catalog.plausibility import Doubt
from catalog.revision import Revision

REPORT_FORMAT = 3


class Refusal(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """One thing that keeps tables from being a revision.

    `row` is a line of the file or sheet as an office counts it (`line 12`), or the row's name in an
    answer (`targets/S/16/...`); empty for the whole table.
    """

    table: str
    row: str
    column: str
    value: str
    rule: str
    message: str
    remedy: str


class Report(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a revision is against another: rows, doubts, impact. Its bytes' sha256 is its digest.

    `withdrawals` counts the withdrawn rows that were taken into account.
    """

    format: int
    rules: str
    revision: str
    against: str
    withdrawals: int
    rows: tuple[RowChange, ...]
    doubts: tuple[Doubt, ...]
    impact: Impact

    @property
    def strong(self) -> tuple[str, ...]:
        """Ids of the doubts that an approver must acknowledge, each with a reason."""
        return tuple(doubt.id for doubt in self.doubts if doubt.weight == "strong")


class Review(Struct, frozen=True, kw_only=True):
    """Tables that were looked at: `report` is None where anything is refused.

    `revision` is None where the tables could not be read as one.
    """

    revision: Revision | None
    refusals: tuple[Refusal, ...]
    report: Report | None


def refusal_of_cell(bad: BadCell) -> Refusal:
    """Refusal of a bad cell."""
    return Refusal(
        table=bad.table,
        row=f"line {bad.line}" if bad.line else "",
        column=bad.column,
        value=bad.value,
        rule=bad.rule,
        message=bad.message,
        remedy=bad.remedy,
    )
