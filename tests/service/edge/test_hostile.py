"""Requests made to hurt: refused quickly, others answered meanwhile, and no false alarm."""

import logging
import socket
import threading
import time
from typing import Any

import httpx
import pytest

from service.edge.decoding import decoded
from tests.service.serving import connected, logged, press_target

JSON = {"Content-Type": "application/json"}
JUST_UNDER = 2 * 1024 * 1024 - 100
"""Bytes: the body limit, less a little for what stands round the filling."""


def filled(before: bytes, piece: bytes, after: bytes) -> bytes:
    """Body of pieces that is as large as a body may be."""
    return before + b",".join([piece] * (JUST_UNDER // (len(piece) + 1))) + after


def many_names() -> bytes:
    return b"{" + b",".join(b'"tub%06x":1' % n for n in range(JUST_UNDER // 14)) + b"}"


def doubled_under_a_long_name() -> bytes:
    # Each error would tell the long name again.
    doubled = b",".join(b'"%x":1,"%x":1' % (n, n) for n in range(40_000))
    return b'{"' + b"n" * 1_000_000 + b'":{' + doubled + b"}}"


BODIES = {
    "a million numbers for items": ("/v1/tooling-picks", filled(b'{"items":[', b"1", b"]}")),
    "700,000 empty items": ("/v1/tooling-picks", filled(b'{"items":[', b"{}", b"]}")),
    "items with unknown names": ("/v1/tooling-picks", filled(b'{"items":[', b'{"x":0}', b"]}")),
    "unknown names": ("/v1/press-targets", many_names()),
    "a million methods": ("/v1/tube-ratings", filled(b'{"methods":[', b"1", b"]}")),
    "a name of a million letters": ("/v1/press-targets", b'{"' + b"tube" * 500_000 + b'":1}'),
    "a text of a million letters": ("/v1/press-targets", b'{"on":"' + b"20" * 1_000_000 + b'"}'),
    "doubled names under a long one": ("/v1/press-targets", doubled_under_a_long_name()),
    "one name a hundred thousand times": (
        "/v1/press-targets",
        filled(b"{", b'"press":"p"', b"}"),
    ),
}


@pytest.mark.parametrize("name", BODIES)
def test_a_large_wrong_body_is_refused_quickly(client: httpx.Client, name: str) -> None:
    path, body = BODIES[name]
    assert len(body) <= 2 * 1024 * 1024
    started = time.monotonic()
    response = client.post(path, content=body, headers=JSON)
    assert response.status_code == 422
    told = response.json()
    assert 1 <= len(told["errors"]) <= min(200, told["error_count"])
    assert told["error_count"] <= 1000
    # A name is a place and told whole; a value is only shown.
    assert all(len(error["detail"]) < 1000 for error in told["errors"])
    assert len(response.content) <= 2 * len(body) + 100_000
    # Walking to the end of these took up to seven seconds; a slow machine may take its time.
    assert time.monotonic() - started < 3


def test_others_are_answered_while_a_large_wrong_body_is_read(
    client: httpx.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, body = BODIES["700,000 empty items"]
    reading = threading.Event()
    count = 0

    def watched(body: bytes, kind: Any) -> Any:
        nonlocal count
        count += 1
        reading.set()
        try:
            return decoded(body, kind)
        finally:
            reading.clear()

    monkeypatch.setattr("service.edge.decoding.decoded", watched)
    statuses: list[int] = []

    def ask() -> None:
        with httpx.Client(base_url=client.base_url, timeout=60) as other:
            statuses.extend(other.post(path, content=body, headers=JSON).status_code for _ in "123")

    thread = threading.Thread(target=ask)
    thread.start()
    amid = 0
    while thread.is_alive():
        if reading.wait(0.1):
            number = count
            assert client.get("/health/live").status_code == 200
            # Asked and answered while one and the same body was being read.
            amid += reading.is_set() and count == number
    thread.join()
    assert statuses == [422, 422, 422]
    assert amid >= 3


def test_a_body_without_end_is_not_read_to_the_end(client: httpx.Client) -> None:
    head = (
        b"POST /v1/press-targets HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
        b"Transfer-Encoding: chunked\r\n\r\n"
    )
    chunk = b"10000\r\n" + b" " * 65536 + b"\r\n"
    answered = threading.Event()
    answer: list[bytes] = []
    with connected(client) as connection:

        def listen() -> None:
            answer.append(connection.recv(65536))
            answered.set()

        thread = threading.Thread(target=listen)
        thread.start()
        connection.sendall(head)
        sent = 0
        while not answered.is_set() and sent < 500 * len(chunk):
            try:
                connection.sendall(chunk)
            except OSError:
                break
            sent += len(chunk)
            time.sleep(0.001)
        thread.join(10)
    assert answer[0].startswith(b"HTTP/1.1 413")
    assert sent < 20 * 1024 * 1024  # the limit, and what lies in the buffers on the way


def test_a_length_over_the_limit_is_refused_before_the_body(client: httpx.Client) -> None:
    with connected(client) as connection:
        connection.sendall(
            b"POST /v1/press-targets HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
            b"Content-Length: 3000000\r\n\r\n"
        )
        assert connection.recv(65536).startswith(b"HTTP/1.1 413")


def test_a_caller_who_leaves_is_no_fault(caplog: pytest.LogCaptureFixture) -> None:
    head = (
        b"POST /v1/press-targets HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n"
        b"Content-Length: 100\r\n\r\n{"
    )
    with logged() as (client, lines):
        with connected(client) as connection:
            connection.sendall(head)
            time.sleep(0.2)
            connection.shutdown(socket.SHUT_RDWR)
        deadline = time.monotonic() + 10
        while not any('"status":499' in line for line in lines):
            assert time.monotonic() < deadline, "the request was never logged"
            time.sleep(0.01)
        assert client.post("/v1/press-targets", json=press_target()).status_code == 200
    assert [r for r in caplog.records if r.levelno >= logging.ERROR] == []


def test_a_long_path_is_cut_in_the_log() -> None:
    with logged() as (client, lines):
        assert client.get("/" + "p" * 20_000).status_code == 404
    assert len(lines) == 1
    assert len(lines[0]) < 400
