"""`catalog export` of a store and as a workbook: the same tables, and nothing is written over."""

from pathlib import Path

import pytest

from catalog.loading import tables_from_workbook
from catalog.revision import revision_of
from catalog.seed import shipped_revision
from tests.service.commands import SHIPPED, call
from tests.service.desk.office import Office

REVISION = shipped_revision().id


def test_a_workbook_holds_the_revision(office: Office, tmp_path: Path) -> None:
    book = tmp_path / "tables.xlsx"
    said, _ = office.run("catalog", "export", "--xlsx", book)
    assert said == f"revision {REVISION}\nwritten to {book}\n"
    tables, bad_cells = tables_from_workbook(book.read_bytes())
    assert bad_cells == []
    assert revision_of(tables).id == REVISION
    assert [entry.name for entry in tmp_path.iterdir() if entry.is_file()] == ["tables.xlsx"]


def test_a_workbook_is_written_over_only_with_force_and_only_if_it_is_one(tmp_path: Path) -> None:
    book, letter = tmp_path / "tables.xlsx", tmp_path / "letter.xlsx"
    letter.write_text("dear lead", encoding="utf-8")
    call("catalog", "export", "--xlsx", book, code=0)
    written = book.read_bytes()
    told = call("catalog", "export", "--xlsx", book, code=1).stderr
    assert "exists: name a new one, or write over it with --force" in told
    call("catalog", "export", "--xlsx", book, "--force", code=0)
    assert book.read_bytes() == written
    told = call("catalog", "export", "--xlsx", letter, "--force", code=1).stderr
    assert "was written by no export: name another file" in told
    call("catalog", "export", "--xlsx", tmp_path, "--force", code=1)
    assert letter.read_text(encoding="utf-8") == "dear lead"


def test_a_revision_is_one_of_a_store(tmp_path: Path) -> None:
    target = tmp_path / "out"
    given = "catalog", "export", "--from", SHIPPED, "--revision", "current", "--to", target
    assert "--from names tables: keep one" in call(*given, code=2).stderr
    told = call("catalog", "export", "--revision", "current", "--to", target, code=2).stderr
    assert "no folder is named" in told
    assert not target.exists()


@pytest.mark.parametrize(
    "options", [("--sqlite", "a", "--xlsx", "b"), ("--to", "a", "--xlsx", "b"), ("--from", "a")]
)
def test_options_that_exclude_each_other_are_not_understood(
    office: Office, options: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        office.run("catalog", "export", *options, code=2)
    assert ended.value.code == 2
