"""How often one may ask: a burst, then a steady rate, in bounded memory."""

import logging
from typing import Any

import httpx
import pytest
from msgspec import structs

from service.app import create_app
from service.edge.guard import BURST, Clock, Throttle
from tests.service.edge.keys import NOW_S, bearer, every_key
from tests.service.serving import OPEN, fixed_day, press_target, served


def test_a_burst_is_let_through_and_then_the_rate() -> None:
    throttle = Throttle(per_second=2, burst=4)
    assert [throttle.take("a", 10.0) for _ in range(5)] == [0, 0, 0, 0, pytest.approx(0.5)]
    assert throttle.take("a", 10.4) == pytest.approx(0.1)
    assert throttle.take("a", 10.5) == 0
    assert throttle.take("a", 10.5) > 0
    # 1.5 s fill 3 tokens.
    assert [throttle.take("a", 12.0) > 0 for _ in range(4)] == [False, False, False, True]


def test_a_bucket_is_never_fuller_than_full() -> None:
    throttle = Throttle(per_second=2, burst=4)
    throttle.take("a", 0.0)
    assert [throttle.take("a", 1e6) > 0 for _ in range(5)] == [False] * 4 + [True]


def test_a_refusal_takes_no_token() -> None:
    throttle = Throttle(per_second=1, burst=1)
    assert throttle.take("a", 0.0) == 0
    for _ in range(1000):
        assert throttle.take("a", 0.5) == pytest.approx(0.5)
    assert throttle.take("a", 1.0) == 0


@pytest.mark.parametrize("rate", [1, 3, 7, 100, 999])
def test_over_a_long_time_it_is_the_rate_and_no_more(rate: int) -> None:
    throttle = Throttle(rate, rate * 4)
    steps = 1000 * 30  # a request each millisecond for 30 s
    let = sum(throttle.take("a", 5.0 + step / 1000) == 0 for step in range(steps))
    assert rate * 34 - 1 <= let <= rate * 34 + 1 or let == steps


def test_each_has_a_bucket_of_its_own() -> None:
    throttle = Throttle(per_second=1, burst=1)
    assert throttle.take("a", 0.0) == 0
    assert throttle.take("b", 0.0) == 0
    assert throttle.take("a", 0.0) > 0


def test_of_a_burst_that_is_not_whole_no_less_than_nothing_is_left() -> None:
    throttle = Throttle(per_second=2, burst=2.5)
    throttle.take("a", 10.0)
    throttle.take("a", 10.0)
    # Half a token is there; with the half that comes in 0.25 s it is one.
    assert [throttle.left("a", at_s)[0] for at_s in (10.0, 10.25)] == [0, 1]
    assert throttle.take("a", 10.25) == 0
    assert throttle.left("a", 10.25) == (0, 2)  # 2.5 are missing: 1.25 s


def test_nothing_a_second_is_no_limit() -> None:
    throttle = Throttle(per_second=0, burst=0)
    assert {throttle.take("a", 0.0) for _ in range(10_000)} == {0.0}
    assert throttle.full_at == {}


def test_whoever_asked_last_is_kept_and_the_table_does_not_grow() -> None:
    throttle = Throttle(per_second=1, burst=1, most_kept=100)
    throttle.take("busy", 0.0)
    for number in range(1000):
        throttle.take(f"other {number}", 0.0)
        assert throttle.take("busy", 0.0) > 0
        assert len(throttle.full_at) <= 100


def test_what_is_left_is_counted_in_whole_tokens_and_seconds() -> None:
    throttle = Throttle(per_second=2, burst=4)
    assert throttle.left("a", 10.0) == (4, 0)
    told = []
    for _ in range(5):
        throttle.take("a", 10.0)
        told.append(throttle.left("a", 10.0))
    # A token fills in 0.5 s; the fifth was not given.
    assert told == [(3, 1), (2, 1), (1, 2), (0, 2), (0, 2)]
    # What has half come is not there yet, and full it is once the last of it is.
    assert [throttle.left("a", at_s) for at_s in (10.2, 10.5, 11.4, 11.5, 12.0, 99.0)] == [
        (0, 2),
        (1, 2),
        (2, 1),
        (3, 1),
        (4, 0),
        (4, 0),
    ]


def test_what_is_left_never_promises_more_than_is_given() -> None:
    for rate in (1, 3, 7, 100, 999):
        throttle = Throttle(rate, rate * 4)
        for step in range(2000):
            now_s = 5.0 + step * 0.37 / rate
            left, _ = throttle.left("a", now_s)
            assert (throttle.take("a", now_s) == 0) is (left > 0), (rate, step)


def test_every_answer_that_is_counted_says_what_is_left() -> None:
    now_s = 50.0
    clock = Clock(epoch_s=lambda: NOW_S, steady_s=lambda: now_s)
    ring, texts = every_key()
    app = create_app(
        structs.replace(OPEN, requests_per_second=1), None, fixed_day, keyring=ring, clock=clock
    )
    with served(app=app) as client:

        def told(response: httpx.Response) -> tuple[str | None, str | None]:
            return response.headers.get("ratelimit-policy"), response.headers.get("ratelimit")

        one = bearer(texts["read"])
        path = "/v1/press-targets"
        answers = [
            client.post(path, json=press_target(), headers=one),
            client.post(path, json={"x": 1}, headers=one),
            client.put("/v1/active", json={}, headers=one),
            client.get("/v1/vocabulary", headers={**one, "If-None-Match": "*"}),
            client.head("/v1/vocabulary", headers=one),
        ]
        assert [each.status_code for each in answers] == [200, 422, 403, 304, 429]
        assert [told(each) for each in answers] == [
            (f'"key";q={BURST};w={BURST}', f'"key";r={left};t={full_s}')
            for left, full_s in ((3, 1), (2, 2), (1, 3), (0, 4), (0, 4))
        ]
        # Without a key it is the address that is counted, by itself.
        assert told(client.get("/v1/vocabulary")) == (
            f'"address";q={BURST};w={BURST}',
            '"address";r=3;t=1',
        )
        # What nobody counts says nothing.
        for response in (
            client.get("/health/live"),
            client.get("/nothing"),
            client.options(path),
            client.post(path, headers=bearer(texts["wrong"])),
        ):
            assert told(response) == (None, None), response.request.url
    with served() as unlimited:
        assert told(unlimited.get("/v1/vocabulary")) == (None, None)


def test_over_http_a_key_and_an_address_are_counted_each_for_itself(
    caplog: pytest.LogCaptureFixture,
) -> None:
    now_s = 50.0
    clock = Clock(epoch_s=lambda: NOW_S, steady_s=lambda: now_s)
    ring, texts = every_key()
    settings = structs.replace(OPEN, requests_per_second=1)
    app = create_app(settings, None, fixed_day, keyring=ring, clock=clock)

    with caplog.at_level(logging.WARNING), served(app=app) as client:

        def ask(**headers: Any) -> int:
            answer = client.post("/v1/press-targets", json=press_target(), headers=headers)
            if answer.status_code == 429:
                assert answer.headers["retry-after"] == "1"
                assert answer.headers["content-type"] == "application/problem+json"
                assert answer.json()["type"] == "urn:ringwright:problem:too-many"
                assert "ask again in 1 s" in answer.json()["detail"]
            return answer.status_code

        one, other = bearer(texts["read"]), bearer(texts["record"])
        assert [ask(**one) for _ in range(BURST + 1)] == [200] * BURST + [429]
        assert ask(**other) == 200
        assert [ask() for _ in range(BURST + 1)] == [200] * BURST + [429]
        # A probe is answered all the same: the service must not seem dead.
        assert client.get("/health/live").status_code == 200
        now_s += 1
        assert [ask(**one), ask(**one), ask(), ask()] == [200, 429, 200, 429]
    assert [r for r in caplog.records if r.name == "ringwright.faults"] == []
