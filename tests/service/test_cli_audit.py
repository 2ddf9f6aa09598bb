"""`audit list`, `audit verify`: every step in its chain, and what was changed behind our back."""

import json
from pathlib import Path

import pytest

from service.cli.opening import made
from service.office.keys import make_key
from tests.service.commands import call, run
from tests.service.store.raw import unguarded

AT = "2026-03-02T06:00:00Z"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with four steps in its trail: the shipped tables proposed, activated, two keys."""
    monkeypatch.setenv("COLUMNS", "80")
    folder = tmp_path / "shop"
    with made(folder) as store:
        for name in ("erp", "office"):
            make_key(store, name, ("read",), expires_at=None, by="cli:admin", at=AT)
    return folder


def listed(folder: Path) -> list[dict[str, object]]:
    """Entries of the trail."""
    found: list[dict[str, object]] = json.loads(
        call("audit", "list", "--json", "--data", folder, code=0).stdout
    )
    return found


def test_every_step_is_listed_with_its_hash(shop: Path) -> None:
    said = run("audit", "list", "--data", shop, code=0, COLUMNS="80").stdout
    lines = said.splitlines()
    assert [line.split()[0] for line in lines[1:5]] == ["1", "2", "3", "4"]
    assert lines[1].split()[3:5] == ["ringwright", "propose"]
    assert lines[4].split()[3:5] == ["cli:admin", "make-key"]
    assert lines[4].split()[-2:] == ["office:", "read"]
    entries = listed(shop)
    assert [entry["n"] for entry in entries] == [1, 2, 3, 4]
    assert entries[3]["previous"] == entries[2]["hash"]
    assert lines[-1].strip() == entries[3]["hash"]
    assert max(map(len, lines)) <= 80


def test_only_later_steps_are_listed_where_asked(shop: Path) -> None:
    said = call("audit", "list", "--after", "3", "--data", shop, code=0).stdout
    assert [line.split()[0] for line in said.splitlines()[1:2]] == ["4"]
    assert call("audit", "list", "--after", "4", "--data", shop, code=0).stdout == (
        "no step was taken\n"
    )


def test_a_sound_trail_is_verified_against_a_hash_kept_elsewhere(shop: Path) -> None:
    hashes = [str(entry["hash"]) for entry in listed(shop)]
    said = run("audit", "verify", "--data", shop, code=0).stdout
    assert said.startswith("4 steps, each as it was taken; nothing is wrong\n")
    assert said.splitlines()[-1].strip() == hashes[-1]
    for known in hashes:
        call("audit", "verify", "--head", known, "--data", shop, code=0)
    told = call("audit", "verify", "--head", "sha256:" + "0" * 64, "--data", shop, code=1).stdout
    assert told.startswith(f"no audit entry has the hash `sha256:{'0' * 64}`: steps were cut off")


@pytest.mark.parametrize(
    ("tampering", "told"),
    [
        ("UPDATE activations SET note = 'nothing' WHERE n = 1", "activation 1 is not what audit"),
        ("UPDATE keys SET name = 'lead' WHERE n = 2", "key 2 is not what audit entry 4 names"),
        ("UPDATE audit SET by = 'office' WHERE n = 3", "audit entry 3 was changed"),
        ("DELETE FROM audit WHERE n = 2", "audit entry 2 is missing"),
    ],
)
def test_a_tampered_row_is_found_and_named(shop: Path, tampering: str, told: str) -> None:
    with unguarded(shop) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        assert connection.execute(tampering).rowcount == 1
    said = run("audit", "verify", "--data", shop, code=1).stdout
    assert told in said
    assert "stop the service, keep a copy of the folder" in said


def test_an_end_that_was_cut_off_shows_with_the_hash_alone(shop: Path) -> None:
    head = str(listed(shop)[-1]["hash"])
    with unguarded(shop) as connection:
        connection.execute("PRAGMA foreign_keys = OFF")
        connection.execute("DELETE FROM audit WHERE n = 4")
        connection.execute("DELETE FROM keys WHERE n = 2")
    assert "3 steps" in call("audit", "verify", "--data", shop, code=0).stdout
    said = call("audit", "verify", "--head", head, "--data", shop, code=1).stdout
    assert said.startswith(f"no audit entry has the hash `{head}`: steps were cut off")


def test_a_list_of_a_tampered_trail_is_refused(shop: Path) -> None:
    with unguarded(shop) as connection:
        connection.execute("UPDATE audit SET note = 'other' WHERE n = 2")
    told = call("audit", "list", "--data", shop, code=1).stderr
    assert "is damaged" in told
