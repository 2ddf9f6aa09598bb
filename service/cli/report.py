"""A report at a terminal: in short, one part of it whole, and the command that comes next."""

import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from catalog.impact import KINDS, ChangeKind
from catalog.plausibility import Doubt
from catalog.publishing import Report, counted, headline_of, largest_rows
from service.cli.opening import short
from service.cli.telling import Paper
from service.cli.wording import (
    CHANGE_HEADS,
    CONVERTED_HEADS,
    RATING_HEADS,
    ROW_HEADS,
    change_cells,
    converted_cells,
    end_text,
    grouped_cells,
    rating_cells,
    row_cells,
)

Cells = Sequence[tuple[str, ...]]

SHOWN: Final = 10
"""Lines of a part that are shown in short."""
CHANGES: Final[dict[ChangeKind, str]] = {
    "newly-refused": "newly refused",
    "newly-allowed": "newly allowed",
    "target-changed": "targets changed, the largest change first",
    "tooling-changed": "cone or plate changed, the numbers stay",
    "cautions-changed": "cautions changed",
    "grounds-changed": "answered as before, on rows that are trusted otherwise",
    "refused-otherwise": "refused as before, for another reason",
}
"""What a person calls the kinds of change."""
SECTIONS: Final = (
    *("rows", "doubts", "changes", *CHANGES),
    *("ratings", "coverage-lost", "coverage-gained", "converted"),
)


def tell_summary(paper: Paper, report: Report) -> None:
    """Tell a report in short; a part that is cut names the section that tells all of it."""
    impact = report.impact
    paper.print(f"against {short(report.against)}, by rules {report.rules}")
    paper.print(f"{headline_of(report)}.", style="bold")
    _tell_first(paper, report, "rows", counted(len(report.rows), "row") + " changed")
    _tell_doubts(paper, "STRONG DOUBTS, each to be acknowledged", _doubts(report, "strong"))
    _tell_first(paper, report, "coverage-lost", "coverage lost")
    for kind in KINDS:
        _tell_first(paper, report, kind, CHANGES[kind])
    _tell_first(paper, report, "ratings", "ratings changed")
    weak = _doubts(report, "weak")
    _tell_doubts(paper, "weak doubts", weak[:SHOWN])
    _tell_more(paper, len(weak), "doubt", "doubts")
    cells = counted(len(report.converted), "cell")
    _tell_first(paper, report, "converted", f"{cells} sent in another unit or with a decimal comma")
    if impact.not_replayed:
        tables = ", ".join(impact.not_replayed)
        paper.print(f"not replayed, told by their rows alone: {tables}", style="bold")


def tell_section(paper: Paper, report: Report, section: str) -> None:
    """Tell all of one part of a report."""
    if section == "doubts":
        paper.print(counted(len(report.doubts), "doubt"))
        for weight in ("strong", "weak"):
            _tell_doubts(paper, weight, _doubts(report, weight))
        return
    heads, lines = _section(report, section)
    if lines:
        paper.table(heads, lines)
    paper.print(f"{section}: {counted(len(lines), 'line')}")


def tell_approving(paper: Paper, report: Report, digest: str, folder: Path) -> None:
    """Tell the digest, and the command by which another person approves it."""
    paper.whole(f"\nreport {digest}")
    paper.print("next: another person, with a key of their own, has read it and approves:")
    words = ["ringwright catalog approve", short(report.revision), "--report", digest]
    for doubt in report.strong:
        # In quotes whether they are needed or not: a reason has spaces.
        given = shlex.quote(f"{doubt}=REASON")
        words += ["--acknowledge", given if given.startswith("'") else f"'{given}'"]
    words += ["--note 'NOTE' --data", shlex.quote(str(folder))]
    paper.whole(f"  {' '.join(words)}", style="bold")


def _section(report: Report, section: str) -> tuple[tuple[str, ...], Cells]:
    """Heads and lines of all of a part."""
    impact = report.impact
    match section:
        case "rows":
            return ROW_HEADS, [cells for row in report.rows for cells in row_cells(row)]
        case "converted":
            return CONVERTED_HEADS, [converted_cells(cell) for cell in report.converted]
        case "ratings":
            return RATING_HEADS, [rating_cells(each) for each in impact.ratings]
        case "coverage-lost":
            return ("tube end",), [(end_text(end),) for end in impact.coverage_lost]
        case "coverage-gained":
            return ("tube end",), [(end_text(end),) for end in impact.coverage_gained]
    kinds = set(KINDS) if section == "changes" else {section}
    return CHANGE_HEADS, [change_cells(each) for each in impact.changes if each.kind in kinds]


def _tell_first(paper: Paper, report: Report, section: str, title: str) -> None:
    """Tell the first lines of a part: the rows that change most, changes that are alike as one."""
    heads, lines = _section(report, section)
    if section in KINDS:
        lines = grouped_cells(each for each in report.impact.changes if each.kind == section)
    if not lines:
        return
    first = lines
    if section == "rows":
        first = [cells for row in largest_rows(report.rows, SHOWN) for cells in row_cells(row)]
    paper.print(f"\n{title}:", style="bold")
    paper.table(heads, first[:SHOWN])
    _tell_more(paper, len(lines), "line", section)


def _tell_doubts(paper: Paper, title: str, doubts: Sequence[Doubt]) -> None:
    """Tell doubts, each by the id that acknowledges it."""
    if not doubts:
        return
    paper.print(f"\n{title}:", style="bold red" if doubts[0].weight == "strong" else "bold")
    for doubt in doubts:
        paper.whole(f"  {doubt.id}")
        paper.under(f"{doubt.message}: {doubt.remedy}", indent=4)


def _tell_more(paper: Paper, count: int, what: str, section: str) -> None:
    if count > SHOWN:
        more = counted(count - SHOWN, what)
        paper.print(f"and {more} more: see `catalog report` with `--section {section}`")


def _doubts(report: Report, weight: str) -> list[Doubt]:
    return [doubt for doubt in report.doubts if doubt.weight == weight]
