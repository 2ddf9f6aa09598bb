"""A step is taken in the name of a key: every way in which it is not a good one is refused."""

from pathlib import Path

import pytest

from service.cli.opening import caller, made, opened
from service.cli.telling import DeskError
from service.current import days_after, moment
from service.edge.access import new_secret
from service.office.keys import make_key, revoke_key
from service.settings import KEY
from tests.service.desk.office import AT, Office

OPENS_NOTHING = "RINGWRIGHT_KEY: this key opens nothing: ask whoever gave it to you for another"


def test_a_good_key_names_its_holder(office: Office) -> None:
    with opened(office.folder) as store:
        assert caller(store, "propose", {KEY: office.keys["office"]}) == "office"
        assert caller(store, "activate", {KEY: f" {office.keys['lead']}\n"}) == "lead"


@pytest.mark.parametrize("text", ["", " "])
def test_no_key_is_told_with_where_to_put_it(office: Office, text: str) -> None:
    with opened(office.folder) as store, pytest.raises(DeskError, match="put your key into RING"):
        caller(store, "propose", {KEY: text})


def test_a_missing_scope_is_named(office: Office) -> None:
    with opened(office.folder) as store:
        for scope in ("propose", "approve", "activate"):
            with pytest.raises(DeskError, match=f"`reader` lacks the scope `{scope}`"):
                caller(store, scope, {KEY: office.keys["reader"]})
        with pytest.raises(DeskError, match="lacks the scope `approve`"):
            caller(store, "approve", {KEY: office.keys["office"]})


def _wrong(office: Office) -> dict[str, str]:
    good = office.keys["lead"]
    id_ = good.split("_")[1]
    return {
        "another secret": f"rw_{id_}_{new_secret()}",
        "an unknown id": f"rw_{'0' * 12}_{new_secret()}",
        "cut short": good[:-1],
        "two keys": f"{good} {good}",
        "no key at all": "lead",
        "letters of no code": "rw_\udcff",
    }


def test_every_wrong_key_opens_nothing_and_is_not_told_back(office: Office) -> None:
    with opened(office.folder) as store:
        for text in _wrong(office).values():
            with pytest.raises(DeskError) as told:
                caller(store, "activate", {KEY: text})
            assert told.value.lines == (OPENS_NOTHING,)


def test_a_key_that_expired_or_was_revoked_opens_nothing(office: Office) -> None:
    with made(office.folder) as store:

        def key(expires_at: str | None) -> tuple[str, str]:
            new = make_key(store, "lead", ("approve",), expires_at=expires_at, by="a", at=AT)
            return new.key.id, new.text

        _, expired = key(days_after(moment(), -1))
        _, alive = key(days_after(moment(), 1))
        revoked_id, revoked = key(None)
        revoke_key(store, revoked_id, reason="lost", by="a", at=AT)
        assert caller(store, "approve", {KEY: alive}) == "lead"
        for text in (expired, revoked):
            with pytest.raises(DeskError) as told:
                caller(store, "approve", {KEY: text})
            assert told.value.lines == (OPENS_NOTHING,)


@pytest.mark.parametrize(
    ("step", "scope"),
    [
        (("approve", "current", "--report", "sha256:0"), "approve"),
        (("activate", "current", "--expected", "1"), "activate"),
        (("rollback",), "activate"),
        (("propose", "targets.csv"), "propose"),
        (("withdraw", "current", "--whole"), "activate"),
    ],
    ids=lambda each: each if isinstance(each, str) else each[0],
)
def test_no_step_is_taken_without_its_scope(
    office: Office,
    step: tuple[str, ...],
    scope: str,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    tmp_path.joinpath("targets.csv").write_text("x", encoding="utf-8")
    why = "--reason" if step[0] == "withdraw" else "--note"
    for name in ("", "reader"):
        if name:
            office.sits(monkeypatch, name)
        _, complained = office.run("catalog", *step, why, "because", code=1)
        assert ("no key is given" if not name else f"lacks the scope `{scope}`") in complained
    assert "because" not in office.run("audit", "list")[0]
