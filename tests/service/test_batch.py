"""A large batch lets the other requests through, and answers as the catalog does."""

import threading
import time

import httpx
import msgspec
import pytest

from catalog.answers.picking import Picked, picked
from catalog.answers.tooling_pick import tooling_pick
from catalog.index import Index
from catalog.questions import AnswerUnits, PickItem, Received, ToolingPickQuestion
from catalog.seed import shipped_index
from catalog.setup.day import Day
from tests.service.serving import DAY, mm, press_target

ITEM = {key: value for key, value in press_target().items() if key in {"tube", "fitting"}}


def test_other_requests_are_answered_amid_a_batch(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    batch = {"items": [{**ITEM, "client_ref": str(n)} for n in range(1000)]}
    begun, ended = threading.Event(), threading.Event()
    seen = 0

    def watched(index: Index, item: PickItem, answer_in: AnswerUnits, day: Day) -> Picked:
        nonlocal seen
        begun.set()
        seen += 1
        if seen == len(batch["items"]):
            ended.set()
        time.sleep(0.0003)  # long enough for a slow machine to ask amid the batch
        return picked(index, item, answer_in, day=day)

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
    question = {"items": [*items * 10, {"tube": {"material": "unobtainium"}}]}
    dated = msgspec.convert({**question, "on": DAY}, ToolingPickQuestion)
    expected = tooling_pick(shipped_index(), dated, Received(on=DAY))
    response = client.post("/v1/tooling-picks", json=question)
    assert response.content == msgspec.json.encode(expected)
