"""A store is opened where it is, and nowhere else; who and when is told as records keep it."""

from pathlib import Path

import pytest

from service.cli.opening import operator
from service.current import days_after, moment
from service.store.sqlite.opening import FILE
from tests.service.commands import call
from tests.service.desk.office import Office

READING = [
    ("catalog", "revisions"),
    ("catalog", "diff", "current", "current"),
    ("catalog", "report", "current"),
    ("key", "list"),
    ("key", "revoke", "abcd", "--reason", "lost"),
    ("key", "rotate", "abcd"),
    ("audit", "list"),
    ("audit", "verify"),
    ("catalog", "rollback", "--note", "back"),
]


@pytest.mark.parametrize("command", READING, ids=" ".join)
def test_a_mistyped_folder_makes_no_store(command: tuple[str, ...], tmp_path: Path) -> None:
    place = tmp_path / "shopp"
    told = call(*command, "--data", place, code=2).stderr
    assert f"`{place}` holds no store: name the folder" in told
    assert not place.exists()


def test_no_folder_at_all_is_not_understood(office: Office) -> None:
    told = call("key", "list", code=2).stderr
    assert told == "no folder is named: give --data FOLDER, or set RINGWRIGHT_DATA\n"


def test_the_settings_name_a_folder_unless_the_command_does(
    office: Office, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("RINGWRIGHT_DATA", str(office.folder))
    assert "shipped tables" in call("catalog", "revisions", code=0).stdout
    call("catalog", "revisions", "--data", tmp_path / "other", code=2)


def test_a_file_that_is_no_store_is_told(tmp_path: Path) -> None:
    tmp_path.joinpath(FILE).write_text("a letter, and not a short one" * 100, encoding="utf-8")
    told = call("catalog", "revisions", "--data", tmp_path, code=1).stderr
    assert f"`{tmp_path / FILE}` is damaged" in told
    assert "put back a sound one" in told


def test_a_bad_setting_is_told_by_commands_too(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RINGWRIGHT_MAX_ROWS_A_TABLE", "many")
    file = office.folder / "targets.csv"
    told = office.run("catalog", "propose", file, "--note", "new", code=1)[1]
    assert told.startswith("`RINGWRIGHT_MAX_ROWS_A_TABLE` is `many`, but must be a whole number")


def test_a_moment_is_written_as_records_keep_it() -> None:
    assert moment() <= days_after(moment(), 1)
    assert len(moment()) == len("2026-03-02T06:00:00Z")
    assert moment().endswith("Z")


def test_the_operator_is_not_whom_the_environment_says(monkeypatch: pytest.MonkeyPatch) -> None:
    before = operator()
    assert before.startswith("cli:")
    for name in ("USER", "LOGNAME", "USERNAME", "LNAME"):
        monkeypatch.setenv(name, "somebody else")
    assert operator() == before
