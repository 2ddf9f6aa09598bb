"""The report on a revision against the active one: in short, one part of it, or as a file."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from catalog.impact import KINDS
from catalog.publishing import Report, counted, report_bytes
from service.current import moment
from service.desk.naming import named
from service.desk.opening import data_folder, opened, operator
from service.desk.progress import replaying
from service.desk.refused import DeskError
from service.desk.summary import tell_approving, tell_doubts, tell_summary
from service.desk.telling import Paper
from service.desk.wording import (
    CHANGE_HEADS,
    CONVERTED_HEADS,
    RATING_HEADS,
    ROW_HEADS,
    change_cells,
    converted_cells,
    end_text,
    rating_cells,
    row_cells,
)
from service.office.reporting import report_for
from service.office.states import RevisionState, states_of
from service.pages.report import about_of, report_page

Cells = Sequence[tuple[str, ...]]
_END: Final = ("tube end",)


def report(
    folder: Path | None,
    revision: str,
    section: str | None,
    *,
    html: Path | None,
    json: Path | None,
) -> int:
    """Tell the report on a revision, made and kept where there is none against the active one."""
    with opened(folder) as store:
        with store.reading() as records:
            asked = named(records, revision)
        with replaying() as progress:
            digest, found = report_for(store, asked, by=operator(), at=moment(), progress=progress)
        with store.reading() as records:
            state = next(each for each in states_of(records) if each.revision == asked)
            about = about_of(records, found)
        written = []
        if json is not None:
            written.append(_written(json, report_bytes(found)))
        if html is not None:
            written.append(_written(html, report_page(found, digest, about=about)))
    paper = Paper()
    if section is None:
        _tell(paper, state, found, digest, data_folder(folder))
    else:
        _tell_section(paper, found, section)
    for file in written:
        paper.whole(f"written to {file}")
    return 0


def _tell(paper: Paper, state: RevisionState, found: Report, digest: str, folder: Path) -> None:
    paper.whole(f"revision {state.revision}, {state.state}")
    paper.print(f"proposed by {state.proposed_by} at {state.proposed_at}: {state.note}")
    tell_summary(paper, found)
    if state.state == "proposed":
        tell_approving(paper, found, digest, folder)
    else:
        paper.whole(f"\nreport {digest}")


def _tell_section(paper: Paper, found: Report, section: str) -> None:
    if section == "doubts":
        paper.print(counted(len(found.doubts), "doubt"))
        for weight in ("strong", "weak"):
            tell_doubts(paper, weight, [each for each in found.doubts if each.weight == weight])
        return
    heads, lines = _section(found, section)
    if lines:
        paper.table(heads, lines)
    paper.print(f"{section}: {counted(len(lines), 'line')}")


def _section(found: Report, section: str) -> tuple[tuple[str, ...], Cells]:
    impact = found.impact
    match section:
        case "rows":
            return ROW_HEADS, [cells for row in found.rows for cells in row_cells(row)]
        case "converted":
            return CONVERTED_HEADS, [converted_cells(cell) for cell in found.converted]
        case "ratings":
            return RATING_HEADS, [rating_cells(each) for each in impact.ratings]
        case "coverage-lost":
            return _END, [(end_text(end),) for end in impact.coverage_lost]
        case "coverage-gained":
            return _END, [(end_text(end),) for end in impact.coverage_gained]
    kinds = set(KINDS) if section == "changes" else {section}
    return CHANGE_HEADS, [change_cells(each) for each in impact.changes if each.kind in kinds]


def _written(file: Path, content: bytes) -> Path:
    try:
        file.write_bytes(content)
    except OSError as error:
        message = f"cannot write `{file}`: {str(error.strerror).lower()}: name another place"
        raise DeskError(message) from error
    return file
