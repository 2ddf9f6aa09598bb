"""`serve --data`: what is kept and who may come in is said; what cannot be served is told."""

import sqlite3
from contextlib import closing
from pathlib import Path

import httpx
import pytest
from msgspec import structs

from service.app import create_served_app, served_store
from service.edge.wrapper import Wrapper
from service.settings import Settings, SettingsError, settings_from
from service.store.sqlite.opening import FILE
from service.store.sqlite.refusals import StoreError
from tests.service.commands import interrupt, line_with, run, running
from tests.service.desk.office import Office, newest
from tests.service.desk.test_steps import SHIPPED, approve
from tests.service.store.raw import unguarded

pytestmark = pytest.mark.apart


def test_a_new_folder_begins_with_the_shipped_tables(tmp_path: Path) -> None:
    place = tmp_path / "a shop"
    with running("serve", "--port", "0", "--data", str(place)) as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        assert line_with(process, "keeps") == f"{place} keeps revisions, keys and the audit trail"
        told = line_with(process, "no key was made yet: ")
        assert told.endswith(f"ringwright key make NAME --scope read --data '{place}'")
        assert httpx.get(f"{base}/v1/active").status_code == 401
        code, said, complained = interrupt(process)
    assert (code, said.split("\n")[-2], complained) == (0, "ended", "")
    assert SHIPPED[7:19] in run("catalog", "revisions", "--data", place, code=0).stdout


@pytest.mark.parametrize("opened", ["0", "1"])
def test_without_a_folder_it_says_that_nothing_is_kept(
    opened: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RINGWRIGHT_OPEN_READING", opened)
    with running("serve", "--port", "0") as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        line_with(process, "nothing is kept, and the shipped, invented tables answer")
        who = {"0": "no question is answered, for there are no keys", "1": "without a key"}
        line_with(process, who[opened])
        wanted = {"0": 401, "1": 200}
        assert httpx.get(f"{base}/v1/vocabulary").status_code == wanted[opened]


def test_a_place_for_no_folder_is_told_before_anything_is_served(tmp_path: Path) -> None:
    tmp_path.joinpath("file").write_text("", encoding="utf-8")
    ended = run("serve", "--port", "0", "--data", tmp_path / "file" / "shop", code=1)
    assert ended.stdout == ""
    assert "cannot be written" in ended.stderr
    assert "let this user write" in ended.stderr


def test_a_database_of_another_kind_is_told(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / FILE)) as books, books:
        books.execute("CREATE TABLE debts (who TEXT)")
    told = run("serve", "--port", "0", "--data", tmp_path, code=1).stderr
    assert told == f"`{tmp_path / FILE}` is not a store of this service: name another folder\n"


def test_a_damaged_active_revision_is_not_served_and_the_way_back_is_told(
    proposed: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    proposed.sits(monkeypatch, "lead")
    approve(proposed)
    given = newest(proposed), "--note", "in use", "--expected", "1"
    proposed.run("catalog", "activate", *given)
    with unguarded(proposed.folder) as connection:
        # Its own table of targets is the only one that the shipped revision does not share.
        asked = "SELECT digest, content FROM blobs ORDER BY n DESC"
        address, content = next(
            row for row in connection.execute(asked) if b'"force_kn":29,' in row[1]
        )
        harmed = content.replace(b'"force_kn":29,', b'"force_kn":92,', 1)
        connection.execute("UPDATE blobs SET content = ? WHERE digest = ?", (harmed, address))
    ended = run("serve", "--port", "0", "--data", proposed.folder, code=1)
    assert ended.stdout == ""
    assert "is damaged, table `targets` of revision" in ended.stderr
    assert "or go back to the revision before it, then start again: " in ended.stderr
    proposed.run("catalog", "rollback", "--note", "damaged")
    with running("serve", "--port", "0", "--data", str(proposed.folder)) as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        assert httpx.get(f"{base}/health/ready").status_code == 200


def test_another_server_finds_the_folder_in_the_settings(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("RINGWRIGHT_DATA", str(office.folder))
    monkeypatch.setenv("RINGWRIGHT_KEY", office.keys["lead"])
    one, two = create_served_app(), create_served_app()
    assert isinstance(one, Wrapper)
    assert isinstance(two, Wrapper)


def test_a_key_is_no_setting_and_is_never_told() -> None:
    assert settings_from({"RINGWRIGHT_KEY": "rw_a_b"}) == Settings()
    assert settings_from({"RINGWRIGHT_DATA": "shop"}) == Settings(data="shop")
    with pytest.raises(SettingsError) as told:
        settings_from({"RINGWRIGHT_KEYS": "rw_secret_text"})
    assert "rw_secret_text" not in str(told.value)


def test_without_a_folder_there_is_no_store(tmp_path: Path) -> None:
    assert served_store(Settings()) is None
    place = tmp_path / "file"
    place.write_text("", encoding="utf-8")
    with pytest.raises(StoreError):
        served_store(structs.replace(Settings(), data=str(place)))
    assert [entry.name for entry in tmp_path.iterdir()] == ["file"]
