"""A store that cannot be read: every answer says so at once, and before long there is none."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from msgspec import Struct, structs

from service.app import create_app
from service.edge.guard import Clock
from service.following import RETRY_S
from service.office.keys import make_key, revoke_key
from service.store.sqlite import open_store
from service.store.sqlite.opening import FILE
from tests.service.publishing.apart import apart
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import AT, QUIET, Shop, refused
from tests.service.publishing.tables import PLAIN, end, revised, small, target_question
from tests.service.publishing.test_following_faults import flip
from tests.service.serving import fixed_day, served

pytestmark = pytest.mark.apart

NEW, OLD = revised().id, small().id
MAX_STALE_S = 20
QUESTIONS: dict[str, dict[str, Any]] = {
    "/v1/press-targets": target_question(),
    "/v1/setup-checks": target_question(),
    "/v1/tooling-picks": {"items": [end()]},
    "/v1/tube-ratings": {"tube": end()["tube"], "methods": ["lame"]},
}


class Watched(Struct):
    """A service whose clock is set by hand."""

    folder: Path
    client: httpx.Client
    now_s: list[float]

    @property
    def away(self) -> Path:
        """Where the folder goes when it goes."""
        return self.folder.with_name("away")

    def ask(self, path: str, key: str, **more: Any) -> httpx.Response:
        """Answer to the question of a path."""
        body = {**QUESTIONS.get(path, QUESTIONS["/v1/tooling-picks"]), **more}
        return self.client.post(path, json=body, headers={"Authorization": f"Bearer {key}"})


@pytest.fixture
def watched(prepared: Prepared, folder: Path) -> Iterator[Watched]:
    now_s = [1000.0]
    settings = structs.replace(QUIET, max_stale_seconds=MAX_STALE_S)
    store = open_store(folder, seed=None, at=AT)
    clock = Clock(steady_s=lambda: now_s[0])
    app = create_app(settings, store=store, today=fixed_day, clock=clock)
    with served(app=app) as client:
        yield Watched(folder, client, now_s)
    store.close()


def is_stale(answer: httpx.Response) -> bool:
    """Whether an answer says that it is stale; if so nothing of it may be pressed by."""
    assert answer.status_code == 200, answer.text
    told = answer.json()
    parts = told.get("items", [told])
    stale = any(finding["code"] == "data.stale" for finding in told["findings"])
    for part in parts if stale else ():
        assert (told["verdict"], part["verdict"]) == ("undetermined", "undetermined")
        assert "dial" not in part.get("target", {})
        assert "stop at" not in part["headline"]
    return stale


def test_every_question_says_so_at_once_and_is_refused_after_a_while(
    prepared: Prepared, watched: Watched
) -> None:
    key = prepared.keys["erp"]
    fresh = {path: watched.ask(path, key) for path in QUESTIONS}
    assert not any(map(is_stale, fresh.values()))
    assert "dial" in fresh["/v1/press-targets"].json()["target"]
    # A pinned one is compiled before: what was never read cannot be answered from at all.
    assert watched.ask("/v1/press-targets", key, revision=NEW).status_code == 200
    shutil.move(watched.folder, watched.away)
    stale: dict[str, bytes] = {}
    for later_s in (0, 1, MAX_STALE_S):
        watched.now_s[0] = 1000.0 + later_s
        for path in QUESTIONS:
            answer = watched.ask(path, key)
            assert is_stale(answer)
            # Since when is not told: the same question gives the same bytes.
            assert stale.setdefault(path, answer.content) == answer.content
            assert is_stale(watched.ask(path, key, revision=OLD))
        pinned = watched.ask("/v1/press-targets", key, revision=NEW).json()
        codes = {finding["code"] for finding in pinned["findings"]}
        assert {"data.stale", "revision.not-active-yet"} <= codes
        assert watched.client.get("/health/ready").status_code == 503
    watched.now_s[0] += 0.1
    for path in (*QUESTIONS, f"/v1/revisions/{NEW}/impact"):
        for more in ({}, {"revision": OLD}, {"revision": NEW}):
            answer = watched.ask(path, key, **more)
            problem = refused(answer, 503, "store-failed")
            assert f"for {MAX_STALE_S} s" in problem["detail"]
            assert answer.headers["retry-after"] == "5"
    # It heals by itself.
    shutil.move(watched.away, watched.folder)
    watched.now_s[0] += RETRY_S
    for path in QUESTIONS:
        assert watched.ask(path, key).content == fresh[path].content
    assert watched.client.get("/health/ready").status_code == 200


def test_active_tables_that_are_damaged_leave_no_answer_for_long_either(
    prepared: Prepared, watched: Watched, shop: Shop
) -> None:
    path, keys = "/v1/press-targets", prepared.keys
    lost = make_key(shop.store, "bench 1", ("read",), expires_at=None, by="cli", at=AT)
    fresh = watched.ask(path, lost.text)
    assert not is_stale(fresh)
    assert shop.approve(NEW, prepared.revised).status_code == 201
    assert shop.activate(NEW).status_code == 200
    flip(watched.folder)
    for later_s in (0, RETRY_S, MAX_STALE_S):
        watched.now_s[0] = 1000.0 + later_s
        assert is_stale(watched.ask(path, lost.text))
    # Keys are read at every try, and withdrawals: that makes the tables that answer no younger.
    for _ in range(2):
        watched.now_s[0] += RETRY_S
        problem = refused(watched.ask(path, lost.text), 503, "store-failed")
        assert f"for {MAX_STALE_S} s" in problem["detail"]
    ready = watched.client.get("/health/ready")
    assert ready.status_code == 503
    assert ready.json()["seconds_since_read"] == MAX_STALE_S + 2 * RETRY_S
    assert "table `targets`" in ready.json()["last_error"]
    # What must hold at once still does.
    revoke_key(shop.store, lost.key.id, reason="lost", by="cli", at=AT)
    refused(watched.ask(path, lost.text), 401, "bad-key")
    body = {"reason": "ring crushed", "rows": [PLAIN]}
    assert shop.post(f"/v1/revisions/{OLD}/withdrawals", body, "boss").status_code == 201
    refused(watched.ask(path, keys["erp"]), 503, "store-failed")
    # So does going back, to what was last good.
    back = {"revision": OLD, "note": "new tables damaged", "expected_activation": 2}
    headers = {"Authorization": f"Bearer {keys['boss']}"}
    answer = watched.client.put("/v1/active", json=back, headers=headers)
    assert answer.status_code == 200
    assert watched.client.get("/health/ready").status_code == 200
    assert watched.ask(path, keys["erp"]).json()["target"] == fresh.json()["target"]
    withdrawn = watched.ask(path, keys["erp"], **target_question(2.0)).json()
    assert withdrawn["verdict"] == "rejected"


def test_a_key_that_was_revoked_unseen_opens_no_question_for_long(watched: Watched) -> None:
    other = open_store(watched.folder, seed=None, at=AT)
    lost = make_key(other, "bench 1", ("read",), expires_at=None, by="cli", at=AT)
    other.close()
    assert not is_stale(watched.ask("/v1/press-targets", lost.text))
    shutil.move(watched.folder, watched.away)
    other = open_store(watched.away, seed=None, at=AT)
    revoke_key(other, lost.key.id, reason="lost", by="cli", at=AT)
    other.close()
    assert is_stale(watched.ask("/v1/press-targets", lost.text))
    watched.now_s[0] += MAX_STALE_S + 1
    refused(watched.ask("/v1/press-targets", lost.text), 503, "store-failed")
    shutil.move(watched.away, watched.folder)
    watched.now_s[0] += RETRY_S
    refused(watched.ask("/v1/press-targets", lost.text), 401, "bad-key")


def test_a_service_that_nobody_asked_for_long_does_not_begin_to_count_then(
    prepared: Prepared, watched: Watched
) -> None:
    key = prepared.keys["erp"]
    watched.now_s[0] += 10 * MAX_STALE_S
    assert not is_stale(watched.ask("/v1/press-targets", key))
    watched.now_s[0] += 10 * MAX_STALE_S
    shutil.move(watched.folder, watched.away)
    # A withdrawal of three minutes ago would not have been seen.
    refused(watched.ask("/v1/press-targets", key), 503, "store-failed")


@pytest.mark.parametrize("ends", [("-wal", "-shm"), ("-wal",), ("-shm",)])
def test_a_service_whose_log_was_taken_away_never_splits_from_the_next(
    prepared: Prepared, shop: Shop, folder: Path, ends: tuple[str, ...]
) -> None:
    key, question = shop.keys["erp"], "/v1/press-targets"
    assert shop.approve(NEW, prepared.revised).status_code == 201
    assert shop.activate(NEW, 1).status_code == 200
    assert not is_stale(shop.post(question, target_question(2.0)))
    for name in ends:
        (folder / f"{FILE}{name}").unlink()
    for _ in range(2):
        problem = refused(shop.activate(OLD, 2), 503, "store-failed")
        assert "stop every process that has the folder open" in problem["detail"]
        assert is_stale(shop.post(question, target_question(2.0)))
        ready = shop.client.get("/health/ready")
        assert ready.status_code == 503
        assert f"{FILE}{ends[0]}` is gone" in ready.json()["last_error"]
    with apart(folder) as other:
        headers = {"Authorization": f"Bearer {key}"}

        def ask_other() -> dict[str, Any]:
            answer = other.post(question, json=target_question(2.0), headers=headers)
            told: dict[str, Any] = answer.json()
            return told

        # What was acknowledged before holds there, and what is done there holds.
        assert ask_other()["revision"] == NEW
        withdrawal = other.post(
            f"/v1/revisions/{NEW}/withdrawals",
            json={"reason": "ring crushed", "rows": [PLAIN]},
            headers={"Authorization": f"Bearer {shop.keys['boss']}"},
        )
        assert withdrawal.status_code == 201
        assert ask_other()["verdict"] == "rejected"
        assert is_stale(shop.post(question, target_question(2.0)))
        refused(shop.activate(OLD, 2), 503, "store-failed")
        shop.store.close()
        assert ask_other()["verdict"] == "rejected"
    anew = open_store(folder, seed=None, at=AT)
    with anew.reading() as records:
        assert [each.revision for each in records.activations()] == [OLD, NEW]
        assert [each.row for each in records.withdrawals()] == [PLAIN]
    anew.close()
