"""A large batch lets the other requests through, and answers as the catalog does."""

import threading

import httpx
import msgspec

from catalog.answers.tooling_pick import tooling_pick
from catalog.questions import ToolingPickQuestion
from catalog.seed import shipped_index
from tests.service.serving import mm, press_target

ITEM = {key: value for key, value in press_target().items() if key in {"tube", "fitting"}}


def test_a_small_question_does_not_wait_for_a_batch(client: httpx.Client) -> None:
    batch = {"items": [{**ITEM, "client_ref": str(n)} for n in range(1000)]}
    answers: list[httpx.Response] = []

    def ask() -> None:
        with httpx.Client(base_url=client.base_url, timeout=60) as other:
            answers.append(other.post("/v1/tooling-picks", json=batch))

    thread = threading.Thread(target=ask)
    thread.start()
    answered = 0
    while thread.is_alive():
        assert client.get("/health/live").status_code == 200
        answered += 1
    thread.join()
    # Answered in one piece, the batch would let one or two of them through: before it and after.
    assert answered >= 5
    items = answers[0].json()["items"]
    assert [each["client_ref"] for each in items] == [str(n) for n in range(1000)]


def test_a_batch_is_answered_as_the_catalog_answers_it(client: httpx.Client) -> None:
    items = [ITEM, {}, {"tube": {"od": mm(17)}}, {**ITEM, "quantity": 3, "client_ref": "\u00e9"}]
    question = {"items": [*items * 10, {"tube": {"material": "unobtainium"}}]}
    expected = tooling_pick(shipped_index(), msgspec.convert(question, ToolingPickQuestion))
    response = client.post("/v1/tooling-picks", json=question)
    assert response.content == msgspec.json.encode(expected)
