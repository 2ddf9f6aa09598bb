"""A report in short: what an approver must look at first, and the command that comes next."""

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from catalog.impact import KINDS, ChangeKind
from catalog.plausibility import Doubt
from catalog.publishing import Report, counted, headline_of, largest_rows
from service.desk.naming import short
from service.desk.telling import Paper
from service.desk.wording import (
    CHANGE_HEADS,
    CONVERTED_HEADS,
    RATING_HEADS,
    ROW_HEADS,
    converted_cells,
    end_text,
    grouped_cells,
    rating_cells,
    row_cells,
)

SHOWN: Final = 10
"""Lines of a part that are shown in short."""
CHANGES: Final[dict[ChangeKind, str]] = {
    "newly-allowed": "newly allowed",
    "newly-refused": "newly refused",
    "target-changed": "targets changed, the largest change first",
    "tooling-changed": "cone or plate changed, the numbers stay",
    "cautions-changed": "cautions changed",
    "grounds-changed": "answered as before, on rows that are trusted otherwise",
    "refused-otherwise": "refused as before, for another reason",
}
"""What a person calls the kinds of change."""


def tell_summary(paper: Paper, report: Report) -> None:
    """Tell a report in short; a part that is cut names the section that tells all of it."""
    impact = report.impact
    paper.print(f"against {short(report.against)}, by rules {report.rules}")
    paper.print(f"{headline_of(report)}.", style="bold")
    largest = largest_rows(report.rows, SHOWN)
    rows = [cells for change in largest for cells in row_cells(change)]
    changed = sum(len(row_cells(change)) for change in report.rows)
    _tell(paper, counted(len(report.rows), "row") + " changed", ROW_HEADS, rows, "rows", changed)
    tell_doubts(paper, "STRONG DOUBTS, each to be acknowledged", _doubts(report, "strong"))
    _tell(
        paper,
        "coverage lost",
        ("tube end",),
        [(end_text(e),) for e in impact.coverage_lost],
        "coverage-lost",
    )
    for kind in KINDS:
        changes = [change for change in impact.changes if change.kind == kind]
        _tell(paper, CHANGES[kind], CHANGE_HEADS, grouped_cells(changes), kind)
    ratings = [rating_cells(each) for each in impact.ratings[: SHOWN + 1]]
    _tell(paper, "ratings changed", RATING_HEADS, ratings, "ratings", len(impact.ratings))
    weak = _doubts(report, "weak")
    tell_doubts(paper, "weak doubts", weak[:SHOWN])
    _tell_more(paper, len(weak), "doubt", "doubts")
    sent = [converted_cells(cell) for cell in report.converted[: SHOWN + 1]]
    title = f"{counted(len(report.converted), 'cell')} sent in another unit or with a decimal comma"
    _tell(paper, title, CONVERTED_HEADS, sent, "converted", len(report.converted))
    if impact.not_replayed:
        tables = ", ".join(impact.not_replayed)
        paper.print(f"not replayed, told by their rows alone: {tables}", style="bold")


def tell_doubts(paper: Paper, title: str, doubts: Sequence[Doubt]) -> None:
    """Tell doubts, each by the id that acknowledges it."""
    if not doubts:
        return
    paper.print(f"\n{title}:", style="bold red" if doubts[0].weight == "strong" else "bold")
    for doubt in doubts:
        paper.whole(f"  {doubt.id}")
        paper.under(f"{doubt.message}: {doubt.remedy}", indent=4)


def tell_approving(paper: Paper, report: Report, digest: str, folder: Path) -> None:
    """Tell the digest, and the command by which another person approves it."""
    paper.whole(f"\nreport {digest}")
    paper.print("next: another person, with a key of their own, has read it and approves:")
    words = ["ringwright catalog approve", short(report.revision), "--report", digest]
    # In quotes whether they are needed or not: a reason has spaces.
    words += [f"--acknowledge {_quoted(f'{doubt}=REASON')}" for doubt in report.strong]
    words += ["--note 'NOTE' --data", shlex.quote(str(folder))]
    paper.whole(f"  {' '.join(words)}", style="bold")


def _quoted(text: str) -> str:
    return text if (text := shlex.quote(text)).startswith("'") else f"'{text}'"


def _tell(
    paper: Paper,
    title: str,
    heads: Sequence[str],
    lines: Sequence[Sequence[str]],
    section: str,
    count: int | None = None,
) -> None:
    if not lines:
        return
    paper.print(f"\n{title}:", style="bold")
    paper.table(heads, lines[:SHOWN])
    _tell_more(paper, len(lines) if count is None else count, "line", section)


def _tell_more(paper: Paper, count: int, what: str, section: str) -> None:
    if count > SHOWN:
        more = counted(count - SHOWN, what)
        paper.print(f"and {more} more: see `catalog report` with `--section {section}`")


def _doubts(report: Report, weight: str) -> list[Doubt]:
    return [doubt for doubt in report.doubts if doubt.weight == weight]
