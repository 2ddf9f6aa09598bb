"""A large batch lets the other requests through, and answers as the catalog does."""

import asyncio
import json
import threading
import time
from types import SimpleNamespace
from typing import Any

import httpx
import msgspec
import pytest
from msgspec import structs

from catalog.answers.picking import Picked, picked
from catalog.answers.tooling_pick import tooling_pick
from catalog.index import Index
from catalog.questions import AnswerUnits, PickItem, Received, ToolingPickQuestion
from catalog.seed import shipped_index
from catalog.setup.day import Day
from catalog.terms import Detail
from service.app import create_app
from service.edge.response import PIECE_BYTES
from service.routes.batches import PART_BYTES, TURN_S, Items, in_turns
from tests.service.edge.test_wrapper import asgi_scope
from tests.service.serving import DAY, OPEN, fixed_day, mm, press_target

ITEM = {key: value for key, value in press_target().items() if key in {"tube", "fitting"}}


def test_other_requests_are_answered_amid_a_batch(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    batch = {"items": [{**ITEM, "client_ref": str(n)} for n in range(1000)]}
    begun, ended = threading.Event(), threading.Event()
    seen = 0

    def watched(
        index: Index, item: PickItem, answer_in: AnswerUnits, day: Day, detail: Detail
    ) -> Picked:
        nonlocal seen
        begun.set()
        seen += 1
        if seen == len(batch["items"]):
            ended.set()
        time.sleep(0.0003)  # long enough for a slow machine to ask amid the batch
        return picked(index, item, answer_in, day=day, detail=detail)

    monkeypatch.setattr("catalog.answers.tooling_pick.picked", watched)
    answers: list[httpx.Response] = []

    def ask() -> None:
        with httpx.Client(base_url=client.base_url, timeout=60) as other:
            answers.append(other.post("/v1/tooling-picks", json=batch))

    thread = threading.Thread(target=ask)
    thread.start()
    assert begun.wait(30)
    amid = 0
    while not ended.is_set():
        # Asked after the first item was begun, so a batch in one piece lets not one of them through
        # before its last, and then the loop is over.
        assert client.get("/health/live").status_code == 200
        amid += not ended.is_set()
    thread.join()
    assert amid >= 5
    items = answers[0].json()["items"]
    assert [each["client_ref"] for each in items] == [str(n) for n in range(1000)]


def test_a_batch_is_answered_as_the_catalog_answers_it(client: httpx.Client) -> None:
    items = [ITEM, {}, {"tube": {"od": mm(17)}}, {**ITEM, "quantity": 3, "client_ref": "\u00e9"}]
    question = {"items": [*items * 60, {"tube": {"material": "unobtainium"}}]}
    dated = msgspec.convert({**question, "on": DAY}, ToolingPickQuestion)
    expected = tooling_pick(shipped_index(), dated, Received(on=DAY))
    response = client.post("/v1/tooling-picks", json=question)
    assert response.content == msgspec.json.encode(expected)
    assert len(response.content) > 2 * PART_BYTES


class Line(msgspec.Struct):
    """An item of any size."""

    text: str


class Lines(msgspec.Struct):
    """An answer with texts before and after its items, in which the mark of their place stands."""

    items: tuple[Line, ...]
    before: str = "\x00"
    after: tuple[str, ...] = ("\x00", '"items":[]')


@pytest.mark.parametrize("length", [0, 1, 100, PART_BYTES // 2, PART_BYTES - 11, PART_BYTES * 2])
@pytest.mark.parametrize("count", [0, 1, 2, 5])
def test_items_encoded_one_by_one_are_those_of_the_whole(count: int, length: int) -> None:
    items = tuple(Line("\u00e9" * (length // 2) + "x" * (length % 2)) for _ in range(count))
    encoded = Items()
    for item in items:
        encoded.add(item)
    parts = encoded.answered(Lines(()), "items")
    assert b"".join(parts) == msgspec.json.encode(Lines(items))
    assert all(len(part) <= PART_BYTES + length + len('{"text":""},') for part in parts)


@pytest.mark.parametrize(
    ("item_s", "turns"),
    [
        (TURN_S / 10, [0, 0, 1, 1, 2, 2, 3]),
        (TURN_S / 1.5, [0, 0, 1, 1, 2, 2, 3]),
        (TURN_S * 1.01, [0, 1, 2, 3, 4, 5, 6]),
        (TURN_S * 100, [0, 1, 2, 3, 4, 5, 6]),
    ],
)
def test_the_others_have_their_turn_by_items_and_by_time(
    item_s: float, turns: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    now_s = 7.0
    monkeypatch.setattr("service.routes.batches.time", SimpleNamespace(perf_counter=lambda: now_s))
    seen = []
    turn = 0

    async def other() -> None:
        nonlocal turn
        while True:
            await asyncio.sleep(0)
            turn += 1

    async def batch() -> None:
        nonlocal now_s
        waiting = asyncio.create_task(other())
        await asyncio.sleep(0)
        async for _ in in_turns(range(len(turns))):
            seen.append(turn)
            now_s += item_s
        waiting.cancel()

    asyncio.run(batch())
    assert seen == turns


def test_a_large_body_is_sent_in_pieces_with_turns_between() -> None:
    app = create_app(structs.replace(OPEN, access_log=False), None, fixed_day)
    body = msgspec.json.encode({"items": [ITEM] * 400})
    turn = 0
    sent: list[tuple[dict[str, Any], int]] = []

    async def other() -> None:
        nonlocal turn
        while True:
            await asyncio.sleep(0)
            turn += 1

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body}

    async def send(message: dict[str, Any]) -> None:
        sent.append((message, turn))

    async def ask() -> None:
        waiting = asyncio.create_task(other())
        scope = asgi_scope("POST", "/v1/tooling-picks", [(b"content-type", b"application/json")])
        await app(scope, receive, send)
        waiting.cancel()

    asyncio.run(ask())
    pieces = sent[1:]
    assert len(pieces) > 4
    assert max(len(message["body"]) for message, _ in pieces) <= PIECE_BYTES
    assert [message["more_body"] for message, _ in pieces] == [True] * (len(pieces) - 1) + [False]
    when = [at for _, at in pieces]
    assert when == sorted(set(when))
    headers = dict(sent[0][0]["headers"])
    whole = b"".join(message["body"] for message, _ in pieces)
    assert headers[b"content-length"] == str(len(whole)).encode()
    assert len(json.loads(whole)["items"]) == 400
