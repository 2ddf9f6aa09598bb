"""What comes of tables that an office sends: refusals, or a revision with a report on it."""

from typing import Annotated

from msgspec import Struct

from catalog.differences import RowChange
from catalog.impact import Impact
from catalog.loading import BadCell, Conversion
from catalog.plausibility import Doubt
from catalog.revision import Revision
from catalog.wanted import about

REPORT_FORMAT = 4


class Refusal(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """One thing that keeps tables from being a revision.

    `row` is a line of the file or sheet as an office counts it (`line 12`), or the row's name in an
    answer (`targets/S/16/...`); empty for the whole table.
    """

    table: Annotated[str, about("name of the table or the file")]
    row: Annotated[
        str, about("line of the file, or the name of the row; empty for the whole table")
    ] = ""
    column: Annotated[str, about("name of the column; empty for the whole row")] = ""
    value: Annotated[str, about("text of the cell as it was sent")] = ""
    rule: Annotated[str, about("name of the rule that is broken")]
    message: Annotated[str, about("what is wrong")]
    remedy: Annotated[str, about("what to do")]


class Report(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What a revision is against another: rows, doubts, impact. Its bytes' sha256 is its digest.

    `withdrawals` counts the withdrawn rows that were taken into account. `converted` is not of the
    tables but of what was sent: the same tables, sent in their own units, have another report.
    """

    format: Annotated[int, about("version of the form of the report")]
    rules: Annotated[str, about("version of the rules that it was made by")]
    revision: Annotated[str, about("id of the proposed revision")]
    against: Annotated[str, about("id of the revision that it is compared with")]
    withdrawals: Annotated[int, about("how many withdrawn rows were taken into account")]
    rows: Annotated[tuple[RowChange, ...], about("every row that differs")]
    doubts: Annotated[
        tuple[Doubt, ...], about("everything in the tables that looks wrong, strong doubts first")
    ]
    impact: Annotated[Impact, about("everything that is answered otherwise")]
    converted: Annotated[
        tuple[Conversion, ...],
        about("cells that were sent in another unit or with a decimal comma, and what they became"),
    ]

    @property
    def strong(self) -> tuple[str, ...]:
        """Ids of the doubts that an approver must acknowledge, each with a reason."""
        return tuple(doubt.id for doubt in self.doubts if doubt.weight == "strong")


class Review(Struct, frozen=True, kw_only=True):
    """Tables that were looked at; `revision` is None where they could not be read as one."""

    revision: Revision | None
    refusals: tuple[Refusal, ...]


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
