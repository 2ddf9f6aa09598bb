"""Two processes on one folder: each answers by what was acknowledged, and never by a mixture."""

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import httpx
import pytest
from msgspec import Struct

from service.office.keys import make_key, revoke_key, rotate_key
from service.settings import Settings
from tests.service.publishing.apart import apart
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import AT, Shop, opened, refused
from tests.service.publishing.tables import PLAIN, THICK_KN, end, revised, small, target_question

pytestmark = pytest.mark.apart

NEW, OLD = revised().id, small().id
FORCES_KN = {OLD: THICK_KN, NEW: 29.01}
"""Force for 16S x 2.5 by each revision (`revised`: 28.5 + 0.5 + 1/100)."""
FLIPS = 30
LINES = 60
"""Lines of a work order: the service turns to others between 25 of them."""


@pytest.fixture
def others(shop: Shop, folder: Path) -> Iterator[list[httpx.Client]]:
    """Two more processes on the folder of the shop."""
    with ExitStack() as stack:
        yield [stack.enter_context(apart(folder)) for _ in range(2)]


def ask(client: httpx.Client, key: str, path: str, body: dict[str, Any]) -> httpx.Response:
    return client.post(path, json=body, headers={"Authorization": f"Bearer {key}"})


def target(client: httpx.Client, key: str) -> tuple[str, float]:
    """Revision and force of an answer, of which header and body say the same."""
    answer = ask(client, key, "/v1/press-targets", target_question())
    told = answer.json()
    assert answer.headers["catalog-revision"] == told["revision"]
    return told["revision"], told["target"]["force"]["value"]


def test_an_activation_is_answered_by_every_process_from_its_next_request_on(
    prepared: Prepared, shop: Shop, others: list[httpx.Client]
) -> None:
    key = shop.keys["erp"]
    assert shop.approve(NEW, prepared.revised).status_code == 201
    for number in range(1, FLIPS):
        wanted = NEW if number % 2 else OLD
        assert shop.activate(wanted, number).status_code == 200
        for client in (*others, shop.client):
            assert target(client, key) == (wanted, FORCES_KN[wanted])
    ready = others[0].get("/health/ready").json()
    assert (ready["activation"], ready["active_activation"]) == (FLIPS, FLIPS)


def test_what_one_process_commits_holds_in_another_within_the_time_that_is_promised(
    prepared: Prepared, folder: Path
) -> None:
    promised_s = Settings().follow_within_ms / 1000
    assert promised_s == 0.005
    settings = Settings(access_log=False, requests_per_second=0)
    with opened(folder, prepared.keys, settings) as shop, apart(folder, 5) as other:
        key, question = shop.keys["erp"], target_question(2.0)
        assert shop.approve(NEW, prepared.revised).status_code == 201
        for number in range(1, FLIPS):
            wanted = NEW if number % 2 else OLD
            target(other, key)
            assert shop.activate(wanted, number).status_code == 200
            # In the process itself at once, since it knows of its own.
            assert target(shop.client, key) == (wanted, FORCES_KN[wanted])
            time.sleep(promised_s)
            assert target(other, key) == (wanted, FORCES_KN[wanted])
        for number in range(FLIPS):
            made = make_key(shop.store, f"{number}", ("read",), expires_at=None, by="cli", at=AT)
            time.sleep(promised_s)
            assert ask(other, made.text, "/v1/press-targets", question).status_code == 200
            revoke_key(shop.store, made.key.id, reason="lost", by="cli", at=AT)
            refused(ask(shop.client, made.text, "/v1/press-targets", question), 401, "bad-key")
            time.sleep(promised_s)
            refused(ask(other, made.text, "/v1/press-targets", question), 401, "bad-key")
        body = {"reason": "ring crushed", "rows": [PLAIN]}
        active = shop.get("/v1/active").json()["revision"]
        assert shop.post(f"/v1/revisions/{active}/withdrawals", body, "boss").status_code == 201
        time.sleep(promised_s)
        assert ask(other, key, "/v1/press-targets", question).json()["verdict"] == "rejected"


def test_the_store_is_asked_no_more_often_than_is_promised(
    prepared: Prepared, shop: Shop, folder: Path
) -> None:
    key = shop.keys["erp"]
    assert shop.approve(NEW, prepared.revised).status_code == 201
    with apart(folder, 1000) as other:
        asked_s = time.monotonic()
        assert target(other, key)[0] == OLD
        assert shop.activate(NEW, 1).status_code == 200
        seen = target(other, key)[0]
        if time.monotonic() - asked_s < 0.9:  # else this machine was too slow to see it
            assert seen == OLD
        time.sleep(1)
        assert target(other, key)[0] == NEW


class Told(Struct, frozen=True):
    """An answer: when it was asked for and had, the revision it names, and the forces in it."""

    asked_s: float
    had_s: float
    revision: str
    forces_kn: frozenset[float]


def test_under_load_no_answer_is_of_two_revisions_or_of_one_that_was_replaced(
    prepared: Prepared, shop: Shop, others: list[httpx.Client]
) -> None:
    key = shop.keys["erp"]
    order = {"items": [end()] * LINES, "detail": "full"}
    assert shop.approve(NEW, prepared.revised).status_code == 201
    over = threading.Event()

    def keep_asking(client: httpx.Client, path: str, body: dict[str, Any]) -> list[Told]:
        told = []
        while not over.is_set():
            asked_s = time.monotonic()
            answer = ask(client, key, path, body)
            had_s = time.monotonic()
            read = answer.json()
            assert answer.headers["catalog-revision"] == read["revision"]
            forces = {part["target"]["force"]["value"] for part in read.get("items", [read])}
            told.append(Told(asked_s, had_s, read["revision"], frozenset(forces)))
        return told

    # The activation that held before, and since when; each next one: sent, acknowledged, revision.
    steps = [(0.0, 0.0, OLD)]
    with ThreadPoolExecutor(6) as pool:
        asking = [
            pool.submit(keep_asking, client, path, body)
            for client in (*others, shop.client)
            for path, body in (
                ("/v1/press-targets", target_question()),
                ("/v1/tooling-picks", order),
            )
        ]
        try:
            for number in range(1, FLIPS):
                wanted = NEW if number % 2 else OLD
                sent_s = time.monotonic()
                assert shop.activate(wanted, number).status_code == 200
                steps.append((sent_s, time.monotonic(), wanted))
                time.sleep(0.05)
        finally:
            over.set()
        told = [each for future in asking for each in future.result()]
    assert len(told) > 10 * FLIPS
    assert {each.revision for each in told} == {OLD, NEW}
    for each in told:
        assert each.forces_kn == {FORCES_KN[each.revision]}
        last = max(
            n for n, (_, acknowledged_s, _) in enumerate(steps) if acknowledged_s <= each.asked_s
        )
        may = {revision for sent_s, _, revision in steps[last:] if sent_s <= each.had_s}
        assert each.revision in may
    # Some answers were asked for between two activations, where only one revision may be named.
    assert any(
        acknowledged_s <= each.asked_s and each.had_s < steps[n + 1][0]
        for n, (_, acknowledged_s, _) in enumerate(steps[:-1])
        for each in told
    )


def test_keys_that_are_revoked_and_changed_hold_at_once_everywhere(
    shop: Shop, others: list[httpx.Client]
) -> None:
    clients = (*others, shop.client)
    made = make_key(shop.store, "bench 1", ("read",), expires_at=None, by="cli", at=AT)
    question = "/v1/press-targets", target_question()
    assert [ask(c, made.text, *question).status_code for c in clients] == [200] * 3
    rotated = rotate_key(shop.store, made.key.id, expires_at=None, by="cli", at=AT)
    assert [ask(c, made.text, *question).status_code for c in clients] == [401] * 3
    assert [ask(c, rotated.text, *question).status_code for c in clients] == [200] * 3
    assert rotated.key.scopes == ("read",)
    revoke_key(shop.store, rotated.key.id, reason="lost", by="cli", at=AT)
    for client in clients:
        refused(ask(client, rotated.text, *question), 401, "bad-key")
    assert [ask(c, shop.keys["erp"], *question).status_code for c in clients] == [200] * 3


def test_a_withdrawal_holds_in_every_process_at_once_under_load(
    shop: Shop, others: list[httpx.Client]
) -> None:
    key, question = shop.keys["erp"], target_question(2.0)
    acknowledged = threading.Event()
    over = threading.Event()

    def keep_asking(client: httpx.Client) -> list[tuple[bool, str]]:
        told = []
        while not over.is_set():
            after = acknowledged.is_set()
            answer = ask(client, key, "/v1/press-targets", question)
            told.append((after, answer.json()["verdict"]))
        return told

    with ThreadPoolExecutor(4) as pool:
        asking = [pool.submit(keep_asking, client) for client in (*others, *others)]
        time.sleep(0.3)
        body = {"reason": "ring crushed", "rows": [PLAIN]}
        active = shop.get("/v1/active").json()["revision"]
        try:
            withdrawn = shop.post(f"/v1/revisions/{active}/withdrawals", body, "boss")
            acknowledged.set()
            time.sleep(0.3)
        finally:
            over.set()
        assert withdrawn.status_code == 201
        told = [each for future in asking for each in future.result()]
    assert {verdict for after, verdict in told if after} == {"rejected"}
    assert {verdict for after, verdict in told if not after} >= {"allowed-with-cautions"}
