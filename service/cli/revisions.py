"""catalog revisions, propose, report, diff: what is stored, what comes in, and what it changes."""

import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from catalog.differences import differences
from catalog.loading import Conversion, Limits, tables_from_files
from catalog.publishing import counted, report_bytes
from catalog.rows import TABLES
from service.cli.opening import (
    activation_text,
    active,
    caller,
    data_folder,
    named,
    opened,
    operator,
    short,
)
from service.cli.options import REVISION, Verbs, add_data, add_note, add_verb
from service.cli.report import SECTIONS, tell_approving, tell_section, tell_summary
from service.cli.telling import NOT_UNDERSTOOD, DeskError, Paper, replaying, tell_json
from service.cli.wording import ROW_HEADS, row_cells
from service.current import moment
from service.office.proposing import Sent, keep, look, stored_revision
from service.office.reporting import report_for
from service.office.states import states_of
from service.pages.report import about_of, report_page
from service.settings import settings_from

_KINDS: Final = {".csv", ".xlsx"}


def add_verbs(verbs: Verbs) -> None:
    """Add the commands for stored revisions and proposals."""
    about = "every stored revision and its state"
    listing = add_verb(verbs, "revisions", list_revisions, help=about)
    listing.add_argument("--json", action="store_true", help="as JSON")
    about = "look at tables, and keep them with the report on what they change"
    proposing = add_verb(verbs, "propose", propose, help=about)
    about = "CSV files named after their tables, one XLSX workbook, or a folder of them"
    proposing.add_argument("files", type=Path, nargs="+", metavar="FILE", help=about)
    about = f"take all other tables from it: {REVISION}"
    proposing.add_argument("--base", metavar="REVISION", help=about)
    proposing.add_argument("--validate-only", action="store_true", help="look, and store nothing")
    add_note(proposing)
    about = "what a revision changes against the active one"
    reporting = add_verb(verbs, "report", report, help=about)
    reporting.add_argument("revision", metavar="REVISION", help=REVISION)
    reporting.add_argument("--html", type=Path, metavar="FILE", help="write it as a page to print")
    about = "write it whole; its sha256 is the digest"
    reporting.add_argument("--json", type=Path, metavar="FILE", help=about)
    reporting.add_argument("--section", choices=SECTIONS, help="tell all of one part")
    comparing = add_verb(verbs, "diff", diff, help="rows that differ between two revisions")
    comparing.add_argument("before", metavar="A", help=REVISION)
    comparing.add_argument("after", metavar="B", help=REVISION)
    comparing.add_argument("--table", metavar="T", help="of one table alone")
    comparing.add_argument("--json", action="store_true", help="as JSON")
    for parser in (listing, proposing, reporting, comparing):
        add_data(parser)


def list_revisions(data: Path | None, *, json: bool) -> int:
    """Tell every stored revision in the order in which they came in."""
    with opened(data) as store, store.reading() as records:
        last, states = active(records), states_of(records)
    if json:
        tell_json(states)
        return 0
    lines = []
    for each in states:
        rows = counted(each.withdrawn_rows, "row")
        told = each.state + (f", {rows} withdrawn" if each.withdrawn_rows else "")
        at, by = each.proposed_at[:10], each.proposed_by
        lines.append((short(each.revision), told, at, by, each.note))
    paper = Paper()
    paper.table(("revision", "state", "proposed", "by", "note"), lines)
    paper.print(f"\n{activation_text(last)}")
    return 0


def diff(data: Path | None, before: str, after: str, table: str | None, *, json: bool) -> int:
    """Tell the rows that differ between two revisions, from the first to the second."""
    if table is not None and table not in TABLES:
        message = f"`{table}` is no table: the tables are {', '.join(TABLES)}"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    with opened(data) as store, store.reading() as records:
        old = stored_revision(records, named(records, before))
        new = stored_revision(records, named(records, after))
    rows = [each for each in differences(old, new) if table in {None, each.table}]
    if json:
        tell_json({"before": old.id, "after": new.id, "count": len(rows), "rows": rows})
        return 0
    paper = Paper()
    differ = counted(len(rows), "row differs", "rows differ")
    paper.print(f"from {short(old.id)} to {short(new.id)}: {differ}")
    if rows:
        paper.table(ROW_HEADS, [cells for row in rows for cells in row_cells(row)])
    return 0


def propose(
    data: Path | None, files: Sequence[Path], base: str | None, note: str, *, validate_only: bool
) -> int:
    """Look at tables and keep them as a proposal, or only look; the report is told in short."""
    settings = settings_from()
    limits = Limits(rows_a_table=settings.max_rows_a_table, file_bytes=settings.max_upload_bytes)
    contents = read(files, limits.file_bytes)
    with opened(data) as store:
        by = "" if validate_only else caller(store, "propose")
        with store.reading() as records:
            based_on = None if base is None else named(records, base)
        converted: list[Conversion] = []
        exported: list[str] = []
        tables, bad_cells = tables_from_files(contents, limits, converted, exported)
        sent = Sent(
            tables=tables,
            bad_cells=bad_cells,
            converted=converted,
            exported=exported,
            base=based_on,
        )
        with replaying() as progress:
            looked = look(store, sent, progress)
        kept = None if validate_only else keep(store, looked, by=by, note=note, at=moment())
    paper, revision = Paper(), looked.revision.id
    if kept is None:
        paper.whole(f"revision {revision}, only looked at: nothing was stored")
    elif kept.new:
        paper.whole(f"revision {revision} is proposed")
    else:
        earlier = kept.proposal
        paper.whole(f"revision {revision} was proposed before, by {earlier.by} at {earlier.at}")
    tell_summary(paper, looked.report)
    if kept is None:
        paper.whole(f"\nreport {looked.digest}")
        paper.print("next: propose it without --validate-only")
        return 0
    place = data_folder(data)
    tell_approving(paper, looked.report, looked.digest, place)
    paper.print("the whole report to read and print:")
    page = f"--html report.html --data {shlex.quote(str(place))}"
    paper.whole(f"  ringwright catalog report {short(revision)} {page}", style="bold")
    return 0


def read(files: Sequence[Path], most_bytes: int) -> dict[str, bytes]:
    """Contents of files, and of the CSV files and workbooks of folders, by their names.

    Errors: `DeskError` where one cannot be read, or two have one name.
    """
    contents: dict[str, bytes] = {}
    for file in files:
        try:
            for each in _listed(file):
                if each.name in contents:
                    message = f"`{each.name}` is given twice: keep the one that holds"
                    raise DeskError(message, code=NOT_UNDERSTOOD)
                with each.open("rb") as stream:
                    # One byte over the limit is enough to be told of it.
                    contents[each.name] = stream.read(most_bytes + 1)
        except OSError as error:
            what = f"`{error.filename or file}`: {str(error.strerror).lower()}"
            message = f"{what}: name CSV files, one workbook, or a folder"
            raise DeskError(message, code=NOT_UNDERSTOOD) from error
    return contents


def _listed(file: Path) -> Iterator[Path]:
    if not file.is_dir():
        yield file
        return
    found = [each for each in sorted(file.iterdir()) if each.suffix.lower() in _KINDS]
    if not found:
        message = f"`{file}` holds no CSV file and no workbook: name the folder that does"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    yield from found


def report(
    data: Path | None, revision: str, section: str | None, html: Path | None, json: Path | None
) -> int:
    """Tell the report on a revision, made and kept where there is none against the active one."""
    with opened(data) as store:
        with store.reading() as records:
            asked = named(records, revision)
        with replaying() as progress:
            digest, found = report_for(store, asked, by=operator(), at=moment(), progress=progress)
        about = about_of(store, found)
    written = []
    if json is not None:
        written.append((json, report_bytes(found)))
    if html is not None:
        written.append((html, report_page(found, digest, about=about)))
    for file, content in written:
        try:
            file.write_bytes(content)
        except OSError as error:
            message = f"cannot write `{file}`: {str(error.strerror).lower()}: name another place"
            raise DeskError(message) from error
    paper = Paper()
    if section is not None:
        tell_section(paper, found, section)
    else:
        paper.whole(f"revision {asked}, {about.state}")
        paper.print(f"proposed by {about.proposer} at {about.proposed_at}: {about.note}")
        tell_summary(paper, found)
        if about.state == "proposed":
            tell_approving(paper, found, digest, data_folder(data))
        else:
            paper.whole(f"\nreport {digest}")
    for file, _ in written:
        paper.whole(f"written to {file}")
    return 0
