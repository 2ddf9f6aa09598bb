"""`catalog export`: a revision written out whole, or not at all."""

import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from catalog.rows import TABLES
from catalog.seed import shipped_revision
from tests.service.commands import SHIPPED, call, run, tables_in

REVISION = shipped_revision()


def test_exported_tables_are_the_same_revision(tmp_path: Path) -> None:
    target = tmp_path / "new" / "export"
    assert REVISION.id in run("catalog", "export", "--to", target, code=0).stdout
    told = run("catalog", "check", target, code=0).stdout
    assert told.splitlines()[-1] == f"revision {REVISION.id}"
    assert [entry.name for entry in target.parent.iterdir()] == ["export"]


def test_another_can_recompute_the_id_from_the_files(tmp_path: Path) -> None:
    target = tmp_path / "export"
    call("catalog", "export", "--to", target, code=0)
    manifest = target.joinpath("manifest.json").read_bytes()
    assert "sha256:" + hashlib.sha256(manifest).hexdigest() == REVISION.id
    digests = json.loads(manifest)["tables"]
    assert set(digests) == set(TABLES)
    for name, digest in digests.items():
        content = target.joinpath(f"{name}.jsonl").read_bytes()
        assert "sha256:" + hashlib.sha256(content).hexdigest() == digest
        rows = [json.loads(line) for line in content.splitlines()]
        assert len(rows) == len(target.joinpath(f"{name}.csv").read_text().splitlines()) - 1


def test_tables_of_a_folder_are_exported_if_they_are_sound(tmp_path: Path) -> None:
    folder = tables_in(tmp_path, presses=lambda text: text.replace("press-c,50,", "press-c,0,"))
    target = tmp_path / "export"
    told = call("catalog", "export", "--from", folder, "--to", target, code=1)
    assert "`0` is not a number above 0" in told.stdout
    assert not target.exists()
    assert call("catalog", "export", "--from", tmp_path / "no", "--to", target, code=2).stderr
    told = call("catalog", "export", "--from", SHIPPED, "--to", target, code=0)
    assert REVISION.id in told.stdout


@pytest.mark.parametrize("option", ["--to", "--sqlite"])
def test_nothing_is_written_over_without_force(option: str, tmp_path: Path) -> None:
    target = tmp_path / "export"
    call("catalog", "export", option, target, code=0)
    told = call("catalog", "export", option, target, code=1).stderr
    assert "exists: name a new one, or write over it with --force" in told
    call("catalog", "export", option, target, "--force", code=0)
    assert [entry.name for entry in tmp_path.iterdir()] == ["export"]


def test_force_takes_old_tables_away(tmp_path: Path) -> None:
    target = tmp_path / "export"
    call("catalog", "export", "--to", target, code=0)
    target.joinpath("cones.csv").write_text("old", encoding="utf-8")
    call("catalog", "export", "--to", target, "--force", code=0)
    assert call("catalog", "check", target, code=0).stdout.splitlines()[-1].endswith(REVISION.id)


def test_not_even_force_takes_away_what_no_export_wrote(tmp_path: Path) -> None:
    target = tmp_path / "papers"
    target.mkdir()
    letter = target / "letter.txt"
    letter.write_text("dear lead", encoding="utf-8")
    told = call("catalog", "export", "--to", target, "--force", code=1).stderr
    assert "holds `letter.txt`, which no export wrote: name another folder" in told
    told = call("catalog", "export", "--sqlite", letter, "--force", code=1).stderr
    assert "was written by no export: name another file" in told
    with closing(sqlite3.connect(target / "books.sqlite")) as books, books:
        books.execute("CREATE TABLE debts (who TEXT)")
    told = call("catalog", "export", "--sqlite", target / "books.sqlite", "--force", code=1).stderr
    assert "was written by no export" in told
    call("catalog", "export", "--sqlite", target, "--force", code=1)
    assert letter.read_text(encoding="utf-8") == "dear lead"
    assert call("catalog", "export", "--to", letter, "--force", code=1).stderr
    assert sorted(entry.name for entry in target.iterdir()) == ["books.sqlite", "letter.txt"]


def test_an_empty_folder_is_filled(tmp_path: Path) -> None:
    target = tmp_path / "empty"
    target.mkdir()
    call("catalog", "export", "--to", target, code=0)
    assert target.joinpath("manifest.json").is_file()


@pytest.mark.parametrize("option", ["--to", "--sqlite"])
def test_a_place_that_takes_no_file_is_told(option: str, tmp_path: Path) -> None:
    tmp_path.joinpath("file").write_text("", encoding="utf-8")
    told = call("catalog", "export", option, tmp_path / "file" / "export", code=1).stderr
    assert "cannot write" in told
    assert "name another place" in told


def test_brackets_in_a_path_do_no_harm(tmp_path: Path) -> None:
    target = tmp_path / "a[" / "b]"
    told = run("catalog", "export", "--to", target, code=0).stdout
    assert f"written to {target}" in told
