"""A revision written out: canonical files and CSV in a folder, or one SQLite file."""

import sys
import tempfile
from pathlib import Path
from typing import Final

from catalog.loading import csv_from_rows
from catalog.revision import Revision, manifest_bytes, table_bytes
from catalog.rows import TABLES
from catalog.seed import shipped_revision
from service.store.export import ExportError, holds_revision, write_sqlite
from service.tables import console, is_folder, sound_revision

_MANIFEST: Final = "manifest.json"
_FILES: Final = {_MANIFEST, *(f"{name}.{kind}" for name in TABLES for kind in ("csv", "jsonl"))}


def export(folder: Path | None, target: Path, *, as_sqlite: bool, force: bool) -> int:
    """Write a revision out; 1 where it is not sound or cannot be written, 2 for no folder."""
    if folder is not None and not is_folder(folder):
        return 2
    revision = shipped_revision() if folder is None else sound_revision(folder)
    if revision is None:
        return 1
    try:
        refusal = _refusal(target, as_sqlite=as_sqlite, force=force)
        if refusal:
            sys.stderr.write(f"`{target}` {refusal}\n")
            return 1
        _write(revision, target, as_sqlite=as_sqlite)
    except (OSError, ExportError) as error:
        why = error.strerror if isinstance(error, OSError) else str(error)
        sys.stderr.write(f"cannot write `{target}`: {str(why).lower()}: name another place\n")
        return 1
    console().print(f"revision {revision.id}\nwritten to {target}", soft_wrap=True)
    return 0


def _refusal(target: Path, *, as_sqlite: bool, force: bool) -> str:
    """Why the target must not be written over, with what to do; none where it may be.

    Not even force takes away what no export wrote.
    """
    if not target.exists() or (target.is_dir() and not as_sqlite and not any(target.iterdir())):
        return ""
    if not force:
        return "exists: name a new one, or write over it with --force"
    if as_sqlite:
        ours = target.is_file() and holds_revision(target)
        return "" if ours else "was written by no export: name another file"
    if not target.is_dir():
        return "is no folder: name another one"
    strange = sorted(entry.name for entry in target.iterdir() if entry.name not in _FILES)
    return f"holds `{strange[0]}`, which no export wrote: name another folder" if strange else ""


def _write(revision: Revision, target: Path, *, as_sqlite: bool) -> None:
    """Write beside the target and rename, so that a half-written one never bears its name."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=target.parent, prefix=".ringwright-") as room:
        made = Path(room) / "made"
        if as_sqlite:
            write_sqlite(revision, made)
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


def _write_files(revision: Revision, folder: Path) -> None:
    folder.joinpath(_MANIFEST).write_bytes(manifest_bytes(revision.manifest))
    for name, rows in revision.tables.items():
        folder.joinpath(f"{name}.jsonl").write_bytes(table_bytes(rows))
        text = csv_from_rows(name, list(rows))
        folder.joinpath(f"{name}.csv").write_text(text, encoding="utf-8", newline="")
