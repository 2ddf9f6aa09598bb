"""catalog check, export: what is wrong with a folder of tables, and a revision written out."""

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Final

from catalog.casework import case_faults
from catalog.checking import faults_of, gaps_of
from catalog.compiling import compile_revision
from catalog.loading import csv_from_rows, tables_from_workbook, workbook_from_rows
from catalog.publishing import counted
from catalog.revision import Revision, manifest_bytes, table_bytes
from catalog.rows import TABLES
from catalog.seed import TablesError, revision_from_folder, shipped_revision
from service.cli.opening import CURRENT, named, opened
from service.cli.options import REVISION, Verbs, add_verb
from service.cli.telling import NOT_UNDERSTOOD, DeskError, Paper
from service.office.proposing import stored_revision
from service.store.export import ExportError, holds_revision, write_sqlite

_MANIFEST: Final = "manifest.json"
_FILES: Final = {_MANIFEST, *(f"{name}.{kind}" for name in TABLES for kind in ("csv", "jsonl"))}


def add_verbs(verbs: Verbs) -> None:
    """Add the commands for tables in files."""
    checking = add_verb(verbs, "check", check, help="say everything that is wrong with tables")
    checking.add_argument("folder", type=Path, metavar="FOLDER", help="one CSV file a table")
    exporting = add_verb(verbs, "export", export, help="write a revision out")
    source = exporting.add_mutually_exclusive_group()
    about = "tables, else the shipped"
    source.add_argument("--from", dest="folder", type=Path, metavar="FOLDER", help=about)
    source.add_argument("--data", type=Path, metavar="FOLDER", help="a stored revision, from here")
    exporting.add_argument("--revision", metavar="ID", help=f"which of the store: {REVISION}")
    where = exporting.add_mutually_exclusive_group()
    about = "folder for the canonical files and CSV, catalog-export unless given"
    usual = Path("catalog-export")
    where.add_argument("--to", type=Path, default=usual, metavar="FOLDER", help=about)
    where.add_argument("--sqlite", type=Path, metavar="FILE", help="write one SQLite file instead")
    where.add_argument("--xlsx", type=Path, metavar="FILE", help="write one workbook instead")
    exporting.add_argument(
        "--force", action="store_true", help="write over an export that is there"
    )


def check(folder: Path) -> int:
    """Say everything that is wrong with a folder."""
    revision = _sound_revision(folder)
    out = _paper()
    for gap in gaps_of(revision):
        out.print(f"gap, which is legal: {gap}", style="dim")
    rows = sum(len(rows) for rows in revision.tables.values())
    cases = len(revision.tables["cases"])
    out.print(f"{len(revision.tables)} tables, {rows} rows, {cases} own cases answered rightly")
    out.print(f"revision {revision.id}")
    return 0


def export(
    folder: Path | None,
    data: Path | None,
    revision: str | None,
    to: Path,
    sqlite: Path | None,
    xlsx: Path | None,
    *,
    force: bool,
) -> int:
    """Write a revision out: canonical files and CSV in a folder, one SQLite file, or a workbook."""
    found = _revision(folder, data, revision)
    target = sqlite or xlsx or to
    write: Callable[[Revision, Path], None] = _write_folder
    is_ours: Callable[[Path], bool] | None = None
    if sqlite:
        write, is_ours = write_sqlite, holds_revision
    elif xlsx:
        write, is_ours = _write_workbook, _is_workbook
    try:
        refusal = _refusal(target, is_ours, force=force)
        if refusal:
            message = f"`{target}` {refusal}"
            raise DeskError(message)
        target.parent.mkdir(parents=True, exist_ok=True)
        # Beside the target and renamed, so that a half-written one never bears its name.
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=".ringwright-") as room:
            made, before = Path(room) / "made", Path(room) / "before"
            write(found, made)
            if is_ours is None and target.exists():
                target.rename(before)
            try:
                made.replace(target)
            except OSError:
                if before.exists():
                    before.rename(target)
                raise
    except (OSError, ExportError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        message = f"cannot write `{target}`: {str(why).lower()}: name another place"
        raise DeskError(message) from error
    _paper().whole(f"revision {found.id}\nwritten to {target}")
    return 0


def _revision(folder: Path | None, data: Path | None, name: str | None) -> Revision:
    if folder is not None:
        return _sound_revision(folder, name)
    if data is None and name is None:
        return shipped_revision()
    with opened(data) as store, store.reading() as records:
        return stored_revision(records, named(records, name or CURRENT))


def _sound_revision(folder: Path, name: str | None = None) -> Revision:
    """Revision of a folder that passes its own cases; it has no `name`, as those of a store have.

    Errors: `DeskError`; faults of the tables are told before, in a table.
    """
    try:
        next(folder.iterdir(), None)
    except OSError as error:
        why = (error.strerror or "not readable").lower()
        message = f"`{folder}`: {why}: name the folder that holds the CSV files"
        raise DeskError(message, code=NOT_UNDERSTOOD) from error
    if name is not None:
        message = "--revision is one of a store, and --from names tables: keep one"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    heads: tuple[str, ...] = ("row", "column", "what is wrong")
    cells: list[tuple[str, ...]]
    try:
        revision = revision_from_folder(folder)
    except TablesError as error:
        heads = ("table", "line", "column", "what is wrong, and what to do")
        cells = [
            (bad.table, str(bad.line or ""), bad.column, f"{bad.message}: {bad.remedy}")
            for bad in error.faults
        ]
        told = f"{counted(error.count, 'bad cell')}: references and cases are checked after these"
    except OSError as error:
        message = f"cannot read `{error.filename}`: {str(error.strerror).lower()}"
        raise DeskError(message) from error
    else:
        cells = [(fault.row, fault.column, fault.message) for fault in faults_of(revision)]
        if not cells:
            cells = [("cases", "", fault) for fault in case_faults(compile_revision(revision))]
        if not cells:
            return revision
        told = f"{counted(len(cells), 'fault')}: this is no revision yet"
    paper = _paper()
    paper.table(heads, cells)
    paper.print(told)
    raise DeskError


def _paper() -> Paper:
    """Where it goes into a file, wide enough for a line of a fault."""
    return Paper(width=None if sys.stdout.isatty() else 140)


def _refusal(target: Path, is_ours: Callable[[Path], bool] | None, *, force: bool) -> str:
    """Why the target must not be written over, with what to do; none where it may be.

    Not even force takes away what no export wrote. A file of ours is known by `is_ours`.
    """
    if not target.exists() or (target.is_dir() and not is_ours and not any(target.iterdir())):
        return ""
    if not force:
        return "exists: name a new one, or write over it with --force"
    if is_ours:
        ours = target.is_file() and is_ours(target)
        return "" if ours else "was written by no export: name another file"
    if not target.is_dir():
        return "is no folder: name another one"
    strange = sorted(entry.name for entry in target.iterdir() if entry.name not in _FILES)
    return f"holds `{strange[0]}`, which no export wrote: name another folder" if strange else ""


def _is_workbook(file: Path) -> bool:
    return bool(tables_from_workbook(file.read_bytes())[0])


def _write_workbook(revision: Revision, file: Path) -> None:
    file.write_bytes(workbook_from_rows(revision.tables, revision.id))


def _write_folder(revision: Revision, folder: Path) -> None:
    folder.mkdir()
    folder.joinpath(_MANIFEST).write_bytes(manifest_bytes(revision.manifest))
    for name, rows in revision.tables.items():
        folder.joinpath(f"{name}.jsonl").write_bytes(table_bytes(rows))
        text = csv_from_rows(name, list(rows))
        folder.joinpath(f"{name}.csv").write_text(text, encoding="utf-8", newline="")
