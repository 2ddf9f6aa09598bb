"""Tables on the command line: everything that is wrong with a folder of them, or its revision."""

import sys
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table

from catalog.casework import case_faults
from catalog.checking import faults_of, gaps_of
from catalog.compiling import compile_revision
from catalog.revision import Revision
from catalog.seed import TablesError, revision_from_folder


def check(folder: Path) -> int:
    """Say everything that is wrong with a folder; 1 where anything is, 2 where it is none."""
    if not is_folder(folder):
        return 2
    revision = sound_revision(folder)
    if revision is None:
        return 1
    out = console()
    for gap in gaps_of(revision):
        out.print(f"gap, which is legal: {gap}", style="dim")
    rows = sum(len(rows) for rows in revision.tables.values())
    cases = len(revision.tables["cases"])
    out.print(f"{len(revision.tables)} tables, {rows} rows, {cases} own cases answered rightly")
    out.print(f"revision {revision.id}")
    return 0


def is_folder(folder: Path) -> bool:
    """Whether it is a folder that can be read; what to do is told where it is not."""
    try:
        next(folder.iterdir(), None)
    except OSError as error:
        why = (error.strerror or "not readable").lower()
        sys.stderr.write(f"`{folder}`: {why}: name the folder that holds the CSV files\n")
        return False
    return True


def sound_revision(folder: Path) -> Revision | None:
    """Revision of a folder that passes its own cases; every fault is told where it does not."""
    try:
        revision = revision_from_folder(folder)
    except TablesError as error:
        cells = [
            (bad.table, str(bad.line or ""), bad.column, f"{bad.message}: {bad.remedy}")
            for bad in error.faults
        ]
        _tell(("table", "line", "column", "what is wrong, and what to do"), cells)
        told = f"{_counted(error.count, 'bad cell')}: references and cases are checked after these"
        console().print(told)
        return None
    except OSError as error:
        sys.stderr.write(f"cannot read `{error.filename}`: {str(error.strerror).lower()}\n")
        return None
    faults = [(fault.row, fault.column, fault.message) for fault in faults_of(revision)]
    if not faults:
        faults = [("cases", "", fault) for fault in case_faults(compile_revision(revision))]
    if faults:
        _tell(("row", "column", "what is wrong"), faults)
        console().print(f"{_counted(len(faults), 'fault')}: this is no revision yet")
        return None
    return revision


def console() -> Console:
    """Console that takes no text for markup: paths and cells may hold brackets."""
    width = None if sys.stdout.isatty() else 140
    return Console(width=width, highlight=False, markup=False, emoji=False)


def _tell(heads: tuple[str, ...], lines: Sequence[tuple[str, ...]]) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0))
    for head in heads:
        table.add_column(head, overflow="fold")
    for line in lines:
        table.add_row(*line)
    console().print(table)


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
