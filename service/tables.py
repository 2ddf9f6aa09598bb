"""Tables on the command line: what is wrong with a folder, and a revision written out."""

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.table import Table

from catalog.casework import case_faults
from catalog.checking import faults_of, gaps_of
from catalog.compiling import CompileError, compile_revision
from catalog.loading import csv_from_rows
from catalog.revision import Revision, manifest_bytes, table_bytes
from catalog.seed import TablesError, revision_from_folder, shipped_revision

_OUT = Console(width=None if sys.stdout.isatty() else 140, highlight=False)


def check(folder: Path) -> int:
    """Say everything that is wrong with a folder of tables; 1 where anything is."""
    revision = _read(folder)
    if revision is None:
        return 1
    faults = [(fault.row, fault.column, fault.message) for fault in faults_of(revision)]
    if not faults:
        faults = [("cases", "", fault) for fault in case_faults(compile_revision(revision))]
    if faults:
        _tell(("row", "column", "what is wrong"), faults)
        _OUT.print(f"{len(faults)} faults: this is no revision yet")
        return 1
    for gap in gaps_of(revision):
        _OUT.print(f"gap, which is legal: {gap}", style="dim")
    rows = sum(len(rows) for rows in revision.tables.values())
    cases = len(revision.tables["cases"])
    _OUT.print(f"{len(revision.tables)} tables, {rows} rows, {cases} own cases answered rightly")
    _OUT.print(f"revision {revision.id}")
    return 0


def export(folder: Path | None, to: Path, sqlite: Path | None) -> int:
    """Write a revision to a new folder, or to one new SQLite file; 1 where it cannot be."""
    revision = shipped_revision() if folder is None else _read(folder)
    if revision is None:
        return 1
    target = to if sqlite is None else sqlite
    if target.exists():
        sys.stderr.write(f"`{target}` exists: name a new one, nothing is overwritten\n")
        return 1
    try:
        compile_revision(revision)
        _write(revision, target, as_sqlite=sqlite is not None)
    except CompileError as error:
        told = [(fault.row, fault.column, fault.message) for fault in error.faults]
        _tell(("row", "column", "what is wrong"), told)
        return 1
    except OSError as error:
        sys.stderr.write(f"cannot write `{target}`: {error.strerror}\n")
        return 1
    _OUT.print(f"revision {revision.id} written to {target}")
    return 0


def _read(folder: Path) -> Revision | None:
    if not folder.is_dir():
        sys.stderr.write(f"`{folder}` is no folder: name the one that holds the CSV files\n")
        return None
    try:
        return revision_from_folder(folder)
    except TablesError as error:
        cells = [(bad.table, str(bad.line or ""), bad.column, bad.message) for bad in error.faults]
        _tell(("table", "line", "column", "what is wrong"), cells)
        _OUT.print(f"{len(cells)} bad cells: nothing else is checked before they are mended")
        return None


def _write(revision: Revision, target: Path, *, as_sqlite: bool) -> None:
    """Write beside the target and rename, so that a half-written one never bears its name."""
    from service.store.export import write_sqlite

    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent) as room:
        made = Path(room) / target.name
        if as_sqlite:
            write_sqlite(revision, made)
        else:
            made.mkdir()
            made.joinpath("manifest.json").write_bytes(manifest_bytes(revision.manifest))
            for name, rows in revision.tables.items():
                made.joinpath(f"{name}.jsonl").write_bytes(table_bytes(rows))
                made.joinpath(f"{name}.csv").write_text(
                    csv_from_rows(name, list(rows)), encoding="utf-8", newline=""
                )
        made.rename(target)


def _tell(heads: tuple[str, ...], lines: Sequence[tuple[str, ...]]) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0))
    for head in heads:
        table.add_column(head, overflow="fold")
    for line in lines:
        table.add_row(*line)
    _OUT.print(table, markup=False)
