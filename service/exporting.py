"""A revision written out: canonical files and CSV in a folder, one SQLite file, one workbook."""

import sys
import tempfile
from pathlib import Path
from typing import Final, Literal

from catalog.loading import csv_from_rows, tables_from_workbook, workbook_from_rows
from catalog.revision import Revision, manifest_bytes, table_bytes
from catalog.rows import TABLES
from catalog.seed import shipped_revision
from service.desk.naming import CURRENT, named
from service.desk.opening import opened
from service.desk.refused import NOT_UNDERSTOOD, DeskError
from service.office.proposing import stored_revision
from service.store.export import ExportError, holds_revision, write_sqlite
from service.tables import console, is_folder, sound_revision

Kind = Literal["folder", "sqlite", "xlsx"]
Stored = tuple[Path | None, str | None]
"""Folder of a store and revision of it, of which either may be left out."""

_MANIFEST: Final = "manifest.json"
_FILES: Final = {_MANIFEST, *(f"{name}.{kind}" for name in TABLES for kind in ("csv", "jsonl"))}


def export(
    folder: Path | None,
    target: Path,
    kind: Kind,
    *,
    force: bool,
    stored: Stored = (None, None),
) -> int:
    """Write a revision out; 1 where it is not sound or cannot be written, 2 for no folder."""
    if folder is not None and not is_folder(folder):
        return 2
    revision = _revision(folder, stored)
    if revision is None:
        return 1
    try:
        refusal = _refusal(target, kind, force=force)
        if refusal:
            sys.stderr.write(f"`{target}` {refusal}\n")
            return 1
        _write(revision, target, kind)
    except (OSError, ExportError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        sys.stderr.write(f"cannot write `{target}`: {str(why).lower()}: name another place\n")
        return 1
    console().print(f"revision {revision.id}\nwritten to {target}", soft_wrap=True)
    return 0


def _revision(folder: Path | None, stored: Stored) -> Revision | None:
    """Revision that is asked for; what is wrong is told where there is none."""
    data, name = stored
    if folder is not None:
        if name is not None:
            message = "--revision is one of a store, and --from names tables: keep one"
            raise DeskError(message, code=NOT_UNDERSTOOD)
        return sound_revision(folder)
    if data is None and name is None:
        return shipped_revision()
    with opened(data) as store, store.reading() as records:
        return stored_revision(records, named(records, name or CURRENT))


def _refusal(target: Path, kind: Kind, *, force: bool) -> str:
    """Why the target must not be written over, with what to do; none where it may be.

    Not even force takes away what no export wrote.
    """
    is_file = kind != "folder"
    if not target.exists() or (target.is_dir() and not is_file and not any(target.iterdir())):
        return ""
    if not force:
        return "exists: name a new one, or write over it with --force"
    if is_file:
        ours = target.is_file() and _is_ours(target, kind)
        return "" if ours else "was written by no export: name another file"
    if not target.is_dir():
        return "is no folder: name another one"
    strange = sorted(entry.name for entry in target.iterdir() if entry.name not in _FILES)
    return f"holds `{strange[0]}`, which no export wrote: name another folder" if strange else ""


def _is_ours(file: Path, kind: Kind) -> bool:
    if kind == "sqlite":
        return holds_revision(file)
    return bool(tables_from_workbook(file.read_bytes())[0])


def _write(revision: Revision, target: Path, kind: Kind) -> None:
    """Write beside the target and rename, so that a half-written one never bears its name."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".ringwright-") as room:
        made = Path(room) / "made"
        if kind != "folder":
            _write_file(revision, made, kind)
            made.replace(target)
            return
        made.mkdir()
        _write_files(revision, made)
        before = Path(room) / "before"
        if target.exists():
            target.rename(before)
        try:
            made.rename(target)
        except OSError:
            if before.exists():
                before.rename(target)
            raise


def _write_file(revision: Revision, file: Path, kind: Kind) -> None:
    if kind == "sqlite":
        write_sqlite(revision, file)
    else:
        file.write_bytes(workbook_from_rows(revision.tables, revision.id))


def _write_files(revision: Revision, folder: Path) -> None:
    folder.joinpath(_MANIFEST).write_bytes(manifest_bytes(revision.manifest))
    for name, rows in revision.tables.items():
        folder.joinpath(f"{name}.jsonl").write_bytes(table_bytes(rows))
        text = csv_from_rows(name, list(rows))
        folder.joinpath(f"{name}.csv").write_text(text, encoding="utf-8", newline="")
