"""Keys open what they are for, nothing tells why one does not, and failures are slowed down."""

import asyncio
import hashlib
import json
import re
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from msgspec import structs

from service.app import create_app
from service.edge.access import (
    Caller,
    Keyring,
    caller_of,
    key_text,
    keyring_of,
    new_id,
    new_secret,
    secret_hash,
)
from service.edge.doors import Door
from service.edge.guard import (
    FAILURE_FORGOTTEN_S,
    FAILURES_FREE,
    FAILURES_MOST,
    LONGEST_WAIT_S,
    Clock,
    Guard,
    address,
)
from service.edge.problems import ProblemError
from service.settings import Settings
from tests.service.edge.keys import LATER, NOW_S, bearer, every_key, made, revoked
from tests.service.serving import OPEN, connected, fixed_day, logged, press_target, served

CLOSED = structs.replace(OPEN, open_reading=False)
RING, TEXTS = every_key()


class Time:
    """A clock that goes on only where a test or a pause says so."""

    def __init__(self) -> None:
        self.now_s = 100.0
        self.waited: list[float] = []

    async def pause(self, seconds: float) -> None:
        self.waited.append(seconds)

    def clock(self) -> Clock:
        return Clock(epoch_s=lambda: NOW_S, steady_s=lambda: self.now_s, pause=self.pause)


@pytest.fixture(scope="module")
def locked() -> Iterator[httpx.Client]:
    app = create_app(CLOSED, None, fixed_day, keyring=RING, clock=Time().clock())
    with served(app=app) as client:
        yield client


def header(text: str) -> list[bytes]:
    return [f"Bearer {text}".encode()]


def kind_of(given: list[bytes], ring: Keyring = RING, now_s: float = NOW_S) -> str:
    with pytest.raises(ProblemError) as told:
        caller_of(ring, given, now_s)
    assert told.value.status == 401
    assert told.value.headers == (("www-authenticate", 'Bearer realm="ringwright"'),)
    return told.value.kind


def test_a_secret_is_256_random_bits_and_only_its_hash_is_kept() -> None:
    secrets = {new_secret() for _ in range(100)}
    assert len(secrets) == 100
    assert all(re.fullmatch(r"[A-Za-z0-9_-]{43}", secret) for secret in secrets)
    assert secret_hash("abc") == hashlib.sha256(b"abc").hexdigest()
    assert caller_of(RING, header(key_text("onlyread", TEXTS["read"][12:])), NOW_S).name
    assert re.fullmatch(r"[0-9a-f]{12}", new_id())
    for bad in ("", "a_b", "AB12", "a b c", "x" * 33, "abc\n"):
        with pytest.raises(ValueError, match="no id of a key"):
            key_text(bad, new_secret())


def test_a_right_key_names_its_caller() -> None:
    caller = caller_of(RING, header(TEXTS["propose"]), NOW_S)
    assert caller == Caller("name of onlypropose", "onlypropose", frozenset({"propose"}))
    assert caller_of(RING, [b"bearer  " + TEXTS["propose"].encode()], NOW_S) == caller


@pytest.mark.parametrize("name", ["expired", "revoked", "unknown", "wrong"])
def test_what_is_good_no_longer_is_told_alike(name: str) -> None:
    assert kind_of(header(TEXTS[name])) == "bad-key"


@pytest.mark.parametrize(
    "given",
    [
        [b""],
        [b"Bearer"],
        [b"Bearer "],
        [TEXTS["read"].encode()],
        [b"Basic " + TEXTS["read"].encode()],
        [b"Bearer " + TEXTS["read"].encode() + b" "],
        [b"Bearer " + TEXTS["read"].encode() + b"A"],
        [b"Bearer " + TEXTS["read"].encode()[:-1]],
        [b"Bearer " + TEXTS["read"].upper().encode()],
        [b"Bearer " + TEXTS["read"].encode() + b"," + TEXTS["read"].encode()],
        [b"Bearer rw_onlyread_" + b"\xff" * 43],
        [b"Bearer rw__" + b"a" * 43],
        header(TEXTS["read"]) * 2,  # two headers, even of one key
    ],
)
def test_what_has_not_the_form_of_a_key_opens_nothing(given: list[bytes]) -> None:
    assert kind_of(given) == "bad-key"


def test_no_key_is_told_as_that() -> None:
    assert kind_of([]) == "no-key"


def test_a_key_ends_at_its_moment() -> None:
    key, secret = made(1, "ends", ("read",), LATER)
    ring, given = keyring_of([key], []), header(key_text("ends", secret))
    assert caller_of(ring, given, NOW_S).key_id == "ends"
    assert caller_of(ring, given, NOW_S + 0.999).key_id == "ends"
    assert kind_of(given, ring, NOW_S + 1) == "bad-key"


@pytest.mark.parametrize("ends", ["", "soon", "2026-13-01T00:00:00Z", "2027-01-01T00:00:00"])
def test_an_end_that_cannot_be_read_is_now(ends: str) -> None:
    key, secret = made(1, "ends", ("read",), ends)
    assert kind_of(header(key_text("ends", secret)), keyring_of([key], [])) == "bad-key"


def test_an_id_that_stands_twice_opens_nothing() -> None:
    (one, a), (two, b) = made(1, "twice", ("read",)), made(2, "twice", ("activate",))
    ring = keyring_of([one, two], [])
    for secret in (a, b):
        assert kind_of(header(key_text("twice", secret)), ring) == "bad-key"


def test_a_revocation_may_come_before_its_key_and_name_none() -> None:
    key, secret = made(1, "kept", ("read",))
    ring = keyring_of([key], [revoked(1, "nobody1")])
    assert caller_of(ring, header(key_text("kept", secret)), NOW_S).key_id == "kept"


def test_an_unknown_id_is_compared_as_a_known_one_is(monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[tuple[int, int]] = []

    def watched(one: str, other: str) -> bool:
        compared.append((len(one), len(other)))
        return one == other

    monkeypatch.setattr("service.edge.access.hmac.compare_digest", watched)
    for name in ("wrong", "unknown", "revoked", "expired"):
        kind_of(header(TEXTS[name]))
    assert compared == [(64, 64)] * 4


def test_over_http_a_key_opens_its_own_and_the_answer_says_no_more(locked: httpx.Client) -> None:
    assert locked.get("/v1/vocabulary", headers=bearer(TEXTS["read"])).status_code == 200
    bodies = set()
    for name in ("expired", "revoked", "unknown", "wrong"):
        refused = locked.get("/v1/vocabulary", headers=bearer(TEXTS[name]))
        assert refused.status_code == 401
        assert refused.headers["www-authenticate"] == 'Bearer realm="ringwright"'
        assert refused.headers["content-type"] == "application/problem+json"
        assert refused.headers["cache-control"] == "no-store"
        told = refused.json()
        assert told["type"] == "urn:ringwright:problem:bad-key"
        del told["instance"]
        bodies.add(json.dumps(told))
    assert len(bodies) == 1
    none = locked.get("/v1/vocabulary")
    assert (none.status_code, none.json()["type"]) == (401, "urn:ringwright:problem:no-key")
    assert none.headers["www-authenticate"]
    other = locked.get("/v1/vocabulary", headers=bearer(TEXTS["record"]))
    assert (other.status_code, other.json()["type"]) == (403, "urn:ringwright:problem:not-allowed")
    assert "`read`" in other.json()["detail"]
    assert "www-authenticate" not in other.headers


def test_two_headers_are_refused_over_http(locked: httpx.Client) -> None:
    line = f"Authorization: Bearer {TEXTS['read']}\r\n".encode()
    for lines, status in ((line, b"200"), (line + line, b"401")):
        with connected(locked) as connection:
            connection.sendall(b"GET /v1/vocabulary HTTP/1.1\r\nHost: x\r\n" + lines + b"\r\n")
            assert connection.recv(100).split(b" ", 2)[1] == status


def test_a_path_or_method_that_is_not_there_is_told_without_a_key(locked: httpx.Client) -> None:
    assert locked.get("/nothing").status_code == 404
    assert locked.put("/v1/vocabulary").status_code == 405
    assert locked.options("/v1/vocabulary").status_code == 204
    assert locked.head("/v1/vocabulary").status_code == 401
    assert locked.get("/v1/vocabulary?x=1").status_code == 401  # what is wrong is for callers
    assert locked.get("/health/live?x=1").status_code == 400


def test_a_stranger_is_refused_before_a_byte_of_the_body_is_read() -> None:
    app = create_app(CLOSED, None, fixed_day, keyring=RING, clock=Time().clock())
    scope: dict[str, Any] = {
        "type": "http",
        "http_version": "1.1",
        "method": "POST",
        "path": "/v1/press-targets",
        "raw_path": b"/v1/press-targets",
        "root_path": "",
        "query_string": b"",
        "headers": [(b"content-type", b"application/json")],
    }
    sent: list[dict[str, Any]] = []

    async def receive() -> dict[str, Any]:
        message = "the body was asked for"
        raise AssertionError(message)

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    asyncio.run(app(scope, receive, send))
    assert sent[0]["status"] == 401


def test_open_reading_needs_no_key_but_takes_no_wrong_one() -> None:
    app = create_app(OPEN, None, fixed_day, keyring=RING, clock=Time().clock())
    with served(app=app) as client:
        path = "/v1/press-targets"
        assert client.post(path, json=press_target()).status_code == 200
        for name in ("read", "record"):
            headers = bearer(TEXTS[name])
            assert client.post(path, json=press_target(), headers=headers).status_code == 200
        for name in ("expired", "revoked", "unknown", "wrong"):
            headers = bearer(TEXTS[name])
            assert client.post(path, json=press_target(), headers=headers).status_code == 401


def test_without_keys_only_what_is_open_is_answered() -> None:
    with served(CLOSED) as client:
        assert client.get("/health/ready").status_code == 200
        assert client.get("/v1/vocabulary").status_code == 401
        assert client.get("/v1/vocabulary", headers=bearer(TEXTS["read"])).status_code == 401


def test_a_failure_is_logged_with_its_address_and_without_the_key() -> None:
    sent = [TEXTS["wrong"], TEXTS["record"], "rw_no-form_" + "s" * 43, "not-a-key"]
    with logged(CLOSED, keyring=RING, clock=Time().clock()) as (client, lines):
        told = [client.get("/v1/vocabulary", headers=bearer(text)) for text in sent]
        told.append(client.get("/v1/vocabulary"))
    entries = [entry for entry in map(json.loads, lines) if "refused" in entry]
    assert [(e["refused"], e.get("key_id")) for e in entries] == [
        ("bad-key", "onlyread"),
        ("not-allowed", "onlyrecord"),
        ("bad-key", None),
        ("bad-key", None),
        ("no-key", None),
    ]
    assert [e["request_id"] for e in entries] == [r.headers["x-request-id"] for r in told]
    assert {e["address"] for e in entries} == {"127.0.0.1"}
    for text in sent:
        assert not any(text.split("_", 2)[-1] in line for line in lines)


def asked(guard: Guard, text: str, host: str = "192.0.2.7") -> str:
    """Key id of an admitted caller, or the kind of the problem."""
    scope: Any = {
        "client": (host, 1),
        "headers": [(b"authorization", f"Bearer {text}".encode())] if text else [],
    }
    try:
        caller = asyncio.run(guard.admitted(scope, Door(needs="read"), RING, "id"))
    except ProblemError as problem:
        if problem.kind == "too-many":
            seconds = dict(problem.headers)["retry-after"]
            return f"too-many {seconds}"
        return problem.kind
    return "nobody" if caller is None else caller.key_id


def test_failures_of_an_address_wait_longer_and_longer_and_then_are_not_looked_at() -> None:
    time = Time()
    guard = Guard(Settings(requests_per_second=0), time.clock())
    for _ in range(FAILURES_FREE):
        assert asked(guard, TEXTS["wrong"]) == "bad-key"
    assert time.waited == []  # a few slips of the hand are answered at once
    for _ in range(FAILURES_MOST - FAILURES_FREE):
        assert asked(guard, TEXTS["wrong"]) == "bad-key"
    assert time.waited == sorted(time.waited)
    assert time.waited[:3] == pytest.approx([0.1, 0.2, 0.4])
    assert max(time.waited) == LONGEST_WAIT_S
    waits = len(time.waited)
    assert asked(guard, TEXTS["wrong"]) == f"too-many {FAILURE_FORGOTTEN_S:.0f}"
    assert asked(guard, "") == f"too-many {FAILURE_FORGOTTEN_S:.0f}"
    assert len(time.waited) == waits  # told at once: waiting would hold a connection for them
    time.now_s += FAILURE_FORGOTTEN_S
    assert asked(guard, TEXTS["wrong"]) == "bad-key"
    time.now_s += FAILURE_FORGOTTEN_S * FAILURES_MOST
    waits = len(time.waited)
    assert asked(guard, TEXTS["wrong"]) == "bad-key"
    assert len(time.waited) == waits  # all is forgotten


def test_a_right_key_is_never_slowed_by_others_at_its_address() -> None:
    # The office's system and a tablet with an old key stand behind one address.
    time = Time()
    guard = Guard(Settings(requests_per_second=0), time.clock())
    for _ in range(FAILURES_MOST * 3):
        asked(guard, TEXTS["wrong"])
    waits = len(time.waited)
    assert asked(guard, TEXTS["wrong"]).startswith("too-many")
    assert asked(guard, TEXTS["read"]) == "onlyread"
    assert len(time.waited) == waits
    assert asked(guard, TEXTS["wrong"], "192.0.2.8") == "bad-key"  # and others stand for themselves


def test_a_key_without_the_scope_is_no_failure_of_its_address() -> None:
    time = Time()
    guard = Guard(Settings(requests_per_second=0), time.clock())
    for _ in range(FAILURES_MOST * 2):
        assert asked(guard, TEXTS["record"]) == "not-allowed"
    assert time.waited == []


def test_addresses_are_forgotten_before_they_fill_the_memory() -> None:
    time = Time()
    guard = Guard(Settings(requests_per_second=0), time.clock())
    for number in range(guard.failures.most_kept + 500):
        asked(guard, TEXTS["wrong"], f"10.{number >> 16}.{number >> 8 & 255}.{number & 255}")
    assert len(guard.failures.full_at) == guard.failures.most_kept
    assert "10.0.0.0" not in guard.failures.full_at


@pytest.mark.parametrize(
    ("host", "counted"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        # A caller who has one address of IPv6 has the whole network of it.
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2::9", "2001:db8:1:2::/64"),
        ("x" * 500, "x" * 64),
    ],
)
def test_an_address_is_what_one_caller_has(host: str, counted: str) -> None:
    scope: Any = {"client": (host, 1)}
    assert address(scope) == counted
    nobody: Any = {"client": None}
    assert address(nobody) == "unknown"
