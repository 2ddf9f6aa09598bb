"""`key make`, `list`, `revoke`, `rotate`: shown once, listed without the secret, ended for good."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.cli.opening import caller, made, opened
from service.cli.telling import DeskError
from service.settings import KEY
from service.store.records import Key
from service.store.sqlite.opening import FILE
from tests.service.commands import call, run

KEY_TEXT = re.compile(r"rw_([a-z0-9]{12})_([A-Za-z0-9_-]{43})")


@pytest.fixture(autouse=True)
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.delenv(KEY, raising=False)


def make(folder: Path, name: str = "erp", *more: str) -> tuple[str, str]:
    """Id and text of a new key that may read."""
    said = call("key", "make", name, "--scope", "read", *more, "--data", folder, code=0).stdout
    text = said.splitlines()[-1]
    match = KEY_TEXT.fullmatch(text)
    assert match is not None
    return match[1], text


def kept(folder: Path) -> tuple[Key, ...]:
    """Keys as the store has them."""
    with opened(folder) as store, store.reading() as records:
        return records.keys()


def opens(folder: Path, text: str) -> bool:
    """Whether a key opens anything."""
    with opened(folder) as store:
        try:
            return bool(caller(store, "read", {KEY: text}))
        except DeskError:
            return False


def test_a_key_is_made_on_a_new_folder_and_shown_this_once(tmp_path: Path) -> None:
    place = tmp_path / "shop"
    ended = run("key", "make", "erp", "--scope", "read", "--data", place, code=0, COLUMNS="80")
    *told, text = ended.stdout.splitlines()
    match = KEY_TEXT.fullmatch(text)
    assert match is not None
    assert "is a new store: it begins with the shipped, invented tables" in " ".join(
        ended.stdout.split()
    )
    assert f"key `{match[1]}` of `erp`: read" in told
    assert "it is shown this once and kept nowhere: hand it over now" in told
    written = b"".join(file.read_bytes() for file in place.iterdir())
    assert match[1].encode() in written
    assert match[2].encode() not in written
    assert (
        "new store"
        not in call("key", "make", "b", "--scope", "read", "--data", place, code=0).stdout
    )
    assert opens(place, text)


def test_every_scope_is_given_on_its_own_and_once(tmp_path: Path) -> None:
    call(
        *("key", "make", "lead", "--scope", "approve", "--scope", "activate"),
        *("--scope", "approve", "--data", tmp_path),
        code=0,
    )
    (key,) = kept(tmp_path)
    assert key.scopes == ("approve", "activate")
    assert key.by.startswith("cli:")
    assert key.expires_at is None


def test_days_are_counted_from_now(tmp_path: Path) -> None:
    before = datetime.now(UTC)
    make(tmp_path, "erp", "--days", "30")
    (key,) = kept(tmp_path)
    assert key.expires_at is not None
    late = datetime.fromisoformat(key.expires_at) - before - timedelta(days=30)
    assert timedelta(seconds=-1) <= late <= timedelta(seconds=60)


def test_keys_are_listed_with_their_state_and_no_secret(tmp_path: Path) -> None:
    _, first = make(tmp_path)
    second, _ = make(tmp_path, "bench", "--days", "2")
    call("key", "revoke", second, "--reason", "left the shop", "--data", tmp_path, code=0)
    said = call("key", "list", "--data", tmp_path, code=0).stdout
    lines = [line.split() for line in said.splitlines()]
    assert lines[1][:3] == [first.split("_")[1], "erp", "read"]
    assert lines[1][-1] == "good"
    told = " ".join(said.split())
    assert f"{second} bench read" in told
    assert "revoked" in told
    assert "left the shop" in told
    assert first.split("_", 2)[2] not in said


def test_no_key_is_told_with_how_to_make_one(tmp_path: Path) -> None:
    with made(tmp_path):
        pass
    said = call("key", "list", "--data", tmp_path, code=0).stdout
    assert said == "no key was made yet: make one with `ringwright key make`\n"


def test_a_revoked_key_opens_nothing_and_stays_listed(tmp_path: Path) -> None:
    id_, text = make(tmp_path)
    assert opens(tmp_path, text)
    call("key", "revoke", id_, "--reason", "lost", "--data", tmp_path, code=0)
    assert not opens(tmp_path, text)
    told = call("key", "revoke", id_, "--reason", "lost", "--data", tmp_path, code=1).stderr
    assert told == f"`{id_}` is revoked already\n"
    told = call("key", "rotate", id_, "--data", tmp_path, code=1).stderr
    assert told == f"`{id_}` is revoked already\n"


def test_a_key_that_is_none_is_told(tmp_path: Path) -> None:
    make(tmp_path)
    for step in (("revoke", "nokey", "--reason", "lost"), ("rotate", "nokey")):
        told = call("key", *step, "--data", tmp_path, code=1).stderr
        assert told == "`nokey` is no key here: see `ringwright key list`\n"


@pytest.mark.parametrize(("days", "again"), [(None, None), ("7", 7)])
def test_a_rotated_key_lives_as_long_as_the_one_before(
    tmp_path: Path, days: str | None, again: int | None
) -> None:
    id_, old = make(tmp_path, "erp", *(() if days is None else ("--days", days)))
    said = call("key", "rotate", id_, "--data", tmp_path, code=0).stdout
    new = said.splitlines()[-1]
    assert said.startswith(f"key `{id_}` opens nothing from now on\n")
    assert (opens(tmp_path, old), opens(tmp_path, new)) == (False, True)
    before, after = kept(tmp_path)
    assert (after.name, after.scopes) == (before.name, before.scopes)
    assert after.id != before.id
    if again is None:
        assert after.expires_at is None
    else:
        assert after.expires_at is not None
        lives = datetime.fromisoformat(after.expires_at) - datetime.fromisoformat(after.at)
        assert lives == timedelta(days=again)


def test_a_rotated_key_may_be_given_another_life(tmp_path: Path) -> None:
    id_, _ = make(tmp_path)
    call("key", "rotate", id_, "--days", "1", "--data", tmp_path, code=0)
    assert kept(tmp_path)[1].expires_at is not None


@pytest.mark.parametrize(
    "name", ["", " erp", "erp ", "e\nrp", "n" * 81, "cli:root", "CLI:x", "ringwright", "anybody"]
)
def test_a_name_that_could_be_somebody_elses_is_refused(tmp_path: Path, name: str) -> None:
    call("key", "make", name, "--scope", "read", "--data", tmp_path / "shop", code=2)
    assert not (tmp_path / "shop" / FILE).exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("make", "erp"),
        ("make", "erp", "--scope", "all"),
        ("make", "erp", "--scope", "read", "--days", "0"),
        ("make", "erp", "--scope", "read", "--days", "3651"),
        ("make", "--scope", "read"),
        ("revoke", "abcd"),
        ("revoke", "abcd", "--reason", " "),
        ("rotate",),
    ],
    ids=" ".join,
)
def test_what_is_half_said_is_not_understood(
    tmp_path: Path, arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        call("key", *arguments, "--data", tmp_path, code=2)
    assert ended.value.code == 2
