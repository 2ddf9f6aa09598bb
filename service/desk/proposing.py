"""Propose a revision from files: a CSV per table, one workbook, or a folder of them."""

import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from catalog.loading import Conversion, Limits, tables_from_files
from service.current import moment
from service.desk.callers import caller
from service.desk.naming import named, short
from service.desk.opening import data_folder, opened
from service.desk.progress import replaying
from service.desk.refused import NOT_UNDERSTOOD, DeskError
from service.desk.summary import tell_approving, tell_summary
from service.desk.telling import Paper
from service.office.proposing import Kept, Looked, Sent, keep, look
from service.settings import settings_from

_KINDS: Final = {".csv", ".xlsx"}


def propose(
    folder: Path | None, files: Sequence[Path], base: str | None, note: str, *, validate_only: bool
) -> int:
    """Look at tables and keep them as a proposal, or only look; the report is told in short."""
    settings = settings_from()
    limits = Limits(rows_a_table=settings.max_rows_a_table, file_bytes=settings.max_upload_bytes)
    contents = read(files, limits.file_bytes)
    with opened(folder) as store:
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
    _tell(looked, kept, data_folder(folder))
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


def _tell(looked: Looked, kept: Kept | None, folder: Path) -> None:
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
        return
    tell_approving(paper, looked.report, looked.digest, folder)
    paper.print("the whole report to read and print:")
    place = shlex.quote(str(folder))
    command = f"ringwright catalog report {short(revision)} --html report.html --data {place}"
    paper.whole(f"  {command}", style="bold")
