"""A large batch lets the other requests through."""

import threading
import time

import httpx

from tests.service.serving import press_target


def test_a_small_question_does_not_wait_for_a_batch(client: httpx.Client) -> None:
    item = {key: value for key, value in press_target().items() if key in {"tube", "fitting"}}
    batch = {"items": [{**item, "client_ref": str(n)} for n in range(1000)]}
    ended: list[float] = []
    answers: list[httpx.Response] = []

    def ask() -> None:
        with httpx.Client(base_url=client.base_url, timeout=60) as other:
            answers.append(other.post("/v1/tooling-picks", json=batch))
        ended.append(time.monotonic())

    thread = threading.Thread(target=ask)
    thread.start()
    answered_before_its_end = 0
    while thread.is_alive():
        assert client.get("/health/live").status_code == 200
        answered_before_its_end += 1
    thread.join()
    assert answered_before_its_end >= 3
    items = answers[0].json()["items"]
    assert [each["client_ref"] for each in items] == [str(n) for n in range(1000)]
