"""What cannot be followed: the last good tables answer on, and what must hold at once does."""

import asyncio
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from msgspec import structs

from catalog.compiling import CompileError
from service.app import create_app
from service.edge.guard import Clock
from service.following import RETRY_S, Following
from service.office.keys import make_key, revoke_key
from service.store.sqlite import open_store
from service.store.sqlite.refusals import StoreDamagedError, StoreError
from tests.service.publishing.apart import apart
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import AT, QUIET, Shop, refused
from tests.service.publishing.tables import PLAIN, THICK_KN, revised, small, target_question
from tests.service.serving import fixed_day, served
from tests.service.store.raw import unguarded

pytestmark = pytest.mark.apart

NEW, OLD = revised().id, small().id
ADDRESS = revised().manifest.tables["targets"]
"""Blob of the targets of the new revision, which the old one does not share."""


def flip(folder: Path) -> None:
    """Change a byte of the new targets, or put it right again."""
    with unguarded(folder) as connection:
        asked = "SELECT content FROM blobs WHERE digest = ?"
        content = bytearray(connection.execute(asked, (ADDRESS,)).fetchone()[0])
        content[len(content) // 2] ^= 1
        change = "UPDATE blobs SET content = ? WHERE digest = ?"
        assert connection.execute(change, (bytes(content), ADDRESS)).rowcount == 1


def press(client: httpx.Client, key: str, **more: Any) -> httpx.Response:
    headers = {"Authorization": f"Bearer {key}"}
    return client.post("/v1/press-targets", json=target_question(**more), headers=headers)


def codes(answer: httpx.Response) -> set[str]:
    return {finding["code"] for finding in answer.json()["findings"]}


@contextmanager
def damaged(prepared: Prepared, shop: Shop, folder: Path) -> Iterator[httpx.Client]:
    """Another process, which has not read the new revision when it is active and damaged."""
    assert shop.approve(NEW, prepared.revised).status_code == 201
    with apart(folder) as other:
        assert press(other, shop.keys["erp"]).json()["revision"] == OLD
        assert shop.activate(NEW).status_code == 200
        flip(folder)
        yield other


def test_the_last_good_tables_answer_on_and_readiness_names_the_table(
    prepared: Prepared, shop: Shop, folder: Path
) -> None:
    with damaged(prepared, shop, folder) as other:
        for _ in range(3):
            answer = press(other, shop.keys["erp"])
            assert (answer.status_code, answer.json()["revision"]) == (200, OLD)
            assert answer.json()["target"]["force"]["value"] == THICK_KN
            assert answer.json()["verdict"] == "undetermined"
            assert {"data.stale", "revision.superseded"} <= codes(answer)
        ready = other.get("/health/ready")
        assert ready.status_code == 503
        told = ready.json()
        assert (told["ready"], told["revision"], told["active_revision"]) == (False, OLD, NEW)
        assert (told["activation"], told["active_activation"]) == (1, 2)
        assert "table `targets`" in told["last_error"]
        assert NEW in told["last_error"]
        assert other.get("/health/live").status_code == 200
        # Pinned by name there is no last good: it is refused, and named.
        problem = refused(press(other, shop.keys["erp"], revision=NEW), 503, "store-damaged")
        assert "table `targets`" in problem["detail"]
        read = other.get(
            f"/v1/revisions/{NEW}", headers={"Authorization": f"Bearer {shop.keys['erp']}"}
        )
        refused(read, 503, "store-damaged")
        # Healed, it is followed with the next request.
        flip(folder)
        healed = press(other, shop.keys["erp"])
        assert healed.json()["revision"] == NEW
        assert "data.stale" not in codes(healed)
        assert press(other, shop.keys["erp"], revision=OLD).json()["revision"] == OLD
        ready = other.get("/health/ready")
        assert (ready.status_code, ready.json()["last_error"]) == (200, "")


def test_withdrawals_and_revoked_keys_hold_while_the_active_tables_are_damaged(
    prepared: Prepared, shop: Shop, folder: Path
) -> None:
    with damaged(prepared, shop, folder) as other:
        lost = make_key(shop.store, "bench 1", ("read",), expires_at=None, by="cli", at=AT)
        assert press(other, lost.text, wall_mm=2.0).json()["verdict"] != "rejected"
        # One right after the other: neither may wait until the damaged tables are tried again.
        body = {"reason": "ring crushed", "rows": [PLAIN]}
        path = f"/v1/revisions/{OLD}/withdrawals"
        assert shop.post(path, body, "boss").status_code == 201
        told = press(other, lost.text, wall_mm=2.0).json()
        assert (told["verdict"], told["revision"]) == ("rejected", OLD)
        revoke_key(shop.store, lost.key.id, reason="lost", by="cli", at=AT)
        refused(press(other, lost.text), 401, "bad-key")
        assert press(other, shop.keys["erp"]).json()["revision"] == OLD
        assert other.get("/health/ready").status_code == 503
        # So does going back: to what answers already, and it is ready again.
        back = {"revision": OLD, "note": "new tables damaged", "expected_activation": 2}
        assert shop.ask("boss", "PUT", "/v1/active", json=back).status_code == 200
        ready = other.get("/health/ready")
        assert (ready.status_code, ready.json()["activation"]) == (200, 3)


def test_damaged_tables_are_not_activated(prepared: Prepared, shop: Shop, folder: Path) -> None:
    assert shop.approve(NEW, prepared.revised).status_code == 201
    flip(folder)
    problem = refused(shop.activate(NEW), 503, "store-damaged")
    assert "table `targets`" in problem["detail"]
    assert shop.get("/v1/active").json()["revision"] == OLD
    assert shop.get("/health/ready").status_code == 200


def test_a_service_does_not_start_on_damaged_tables(
    prepared: Prepared, shop: Shop, folder: Path
) -> None:
    shop.publish(revised())
    flip(folder)
    store = open_store(folder, seed=None, at=AT)
    with pytest.raises((StoreError, CompileError), match="table `targets`"):
        create_app(QUIET, store=store)
    store.close()


def test_a_folder_that_is_gone_takes_no_step_and_comes_back(
    prepared: Prepared, shop: Shop, folder: Path
) -> None:
    assert shop.approve(NEW, prepared.revised).status_code == 201
    away = folder.with_name("away")
    shutil.move(folder, away)
    answer = press(shop.client, shop.keys["erp"])
    assert (answer.status_code, answer.json()["revision"]) == (200, OLD)
    assert shop.get("/health/ready").status_code == 503
    refused(shop.get("/v1/active"), 503, "store-failed")
    refused(shop.activate(NEW, 1), 503, "store-failed")
    assert not folder.exists()
    shutil.move(away, folder)
    time.sleep(RETRY_S)
    assert shop.get("/health/ready").status_code == 200
    assert shop.activate(NEW, 1).status_code == 200


def test_a_key_expires_at_its_moment(prepared: Prepared, folder: Path) -> None:
    start = datetime(2026, 3, 2, 10, tzinfo=UTC)
    now = [start]
    store = open_store(folder, seed=None, at=AT)
    expires = (start + timedelta(hours=1)).strftime("%Y-%m-%dT%H:%M:%SZ")
    made = make_key(store, "bench 1", ("read",), expires_at=expires, by="cli", at=AT)
    clock = Clock(epoch_s=lambda: now[0].timestamp())
    with served(app=create_app(QUIET, store=store, today=fixed_day, clock=clock)) as client:
        for later, status in ((0, 200), (3599, 200), (3600, 401), (7200, 401)):
            now[0] = start + timedelta(seconds=later)
            assert press(client, made.text).status_code == status, later
            assert press(client, prepared.keys["erp"]).status_code == 200
    store.close()


class Failing:
    """A store that fails as it is told to: asked for its version, or read."""

    def __init__(self, folder: Path) -> None:
        self.store = open_store(folder, seed=None, at=AT)
        self.version_fails = self.reading_fails = False
        self.reads = 0

    def version(self, within_s: float = 0.0) -> int:
        if self.version_fails:
            raise StoreError("the disk is gone")
        return self.store.version(within_s)

    @contextmanager
    def reading(self, *, checked: bool = True) -> Iterator[object]:
        self.reads += 1
        if self.reading_fails:
            raise StoreDamagedError("activation 1 is not the one that was written")
        with self.store.reading(checked=checked) as records:
            yield records


@pytest.mark.parametrize("fails", ["version_fails", "reading_fails"])
def test_what_fails_is_tried_again_after_a_while_and_not_at_every_request(
    fails: str, folder: Path
) -> None:
    store = Failing(folder)
    now_s = [100.0]
    following = Following(store, fixed_day, lambda: now_s[0])  # type: ignore[arg-type]

    def latest() -> str:
        index = asyncio.run(following.latest()).index
        assert index.standing.stale is not following.health().ready
        return index.revision

    def commit(number: int) -> None:
        make_key(store.store, f"bench {number}", ("read",), expires_at=None, by="cli", at=AT)

    setattr(store, fails, True)
    commit(1)
    keys, reads = len(following.keyring.held), store.reads
    now_s[0] += 5
    for _ in range(20):
        assert latest() == OLD
    assert store.reads - reads <= 1
    health = following.health()
    assert (health.ready, health.seconds_since_read) == (False, 5)
    assert health.last_error
    # It heals without a commit, and nothing tells of that. A version that can be asked for again
    # differs; what could not be read is tried again after a while.
    setattr(store, fails, False)
    assert latest() == OLD
    assert len(following.keyring.held) == keys + (fails == "version_fails")
    now_s[0] += RETRY_S
    assert latest() == OLD
    assert following.health() == structs.replace(
        health, ready=True, seconds_since_read=0.0, last_error=""
    )
    assert len(following.keyring.held) == keys + 1


def test_what_was_committed_is_tried_at_once_though_the_last_try_failed(folder: Path) -> None:
    store = Failing(folder)
    following = Following(store, fixed_day, lambda: 100.0)  # type: ignore[arg-type]
    store.reading_fails = True
    made = make_key(store.store, "bench 1", ("read",), expires_at=None, by="cli", at=AT)
    asyncio.run(following.latest())
    assert not following.health().ready
    store.reading_fails = False
    revoke_key(store.store, made.key.id, reason="lost", by="cli", at=AT)
    asyncio.run(following.latest())
    assert following.health().ready
    assert made.key.id not in following.keyring.held
