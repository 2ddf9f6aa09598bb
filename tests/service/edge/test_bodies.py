"""What a body must be before it is a question: JSON, UTF-8, of a size, declared as what it is."""

import json
import time
from collections.abc import Iterator

import httpx
import pytest
from msgspec import structs

from tests.service.serving import OPEN, press_target, served

JSON = {"Content-Type": "application/json"}
PATH = "/v1/press-targets"


def problem(response: httpx.Response, status: int) -> dict[str, object]:
    assert response.status_code == status, response.text
    assert response.headers["content-type"] == "application/problem+json"
    body: dict[str, object] = response.json()
    assert body["status"] == status
    assert str(body["type"]).startswith("urn:ringwright:problem:")
    assert body["instance"] == f"urn:ringwright:request:{response.headers['x-request-id']}"
    return body


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (b"", "empty"),
        (b"   ", "empty"),
        (b"{", "line 1, column 2"),
        (b'{"tube": \n tru}', "line 2"),
        (b'{"a": NaN}', "`NaN` is no number"),
        (b'{"a": Infinity}', "`Infinity` is no number"),
        (b'{"a": -Infinity}', "`-Infinity` is no number"),
        (b'{"a": "\xff"}', "not UTF-8 at byte 7"),
        (b'{"\xc3\x28": 1}', "not UTF-8"),
        (b"[" * 100_000, "nested too deep"),
        (b'{"tube":' * 100_000, "nested too deep"),
        (b'{"tube": {}} {}', "column"),
        (b"{'tube': 1}", "column"),
        (b"\xef\xbb\xbf{}", "byte order mark"),
        (rb'{"client_ref": "\ud800"}', "half of a pair"),
        (rb'{"\udc00": 1}', "half of a pair"),
        (b'{"tube": {"od": {"value": 1e400, "unit": "mm"}}}', "a number in it is out of range"),
        (b'{"tube": {"od": {"value": ' + b"1" * 5000 + b"}}}", "a number in it is out of range"),
        (b'{"on": "\n"}', "invalid control character at line 1, column 9"),
    ],
)
def test_what_is_no_json_is_400(client: httpx.Client, body: bytes, says: str) -> None:
    told = problem(client.post(PATH, content=body, headers=JSON), 400)
    assert says in str(told["detail"])
    assert "sys." not in str(told["detail"])  # the words of the interpreter are not for callers


@pytest.mark.parametrize("depth", range(100, 1300, 50))
@pytest.mark.parametrize(("opens", "closes"), [(b"[", b"]"), (b'{"x":', b"}"), (b'{"tube":', b"}")])
def test_no_depth_is_a_failure(
    client: httpx.Client, depth: int, opens: bytes, closes: bytes
) -> None:
    # Between what decodes and what is too deep there must be no depth that fails in the walk.
    body = b'{"press": ' + opens * depth + b"1" + closes * depth + b"}"
    status = client.post(PATH, content=body, headers=JSON).status_code
    assert status in {400, 422}


@pytest.mark.parametrize("path", ["/v1/press-targets", "/v1/tooling-picks", "/v1/setup-checks"])
def test_what_is_declared_wrongly_is_not_read_as_json(client: httpx.Client, path: str) -> None:
    form = b"tube=16&press=press-b"
    response = client.post(path, content=form, headers={"Content-Type": "text/json"})
    assert "send `application/json`" in str(problem(response, 415)["detail"])


@pytest.mark.parametrize(
    "headers",
    [
        {"Content-Type": "text/plain"},
        {"Content-Type": "application/x-www-form-urlencoded"},
        {"Content-Type": "application/json; charset=latin-1"},
        {"Content-Type": "application/jsonp"},
        {},
        {**JSON, "Content-Encoding": "gzip"},
        {**JSON, "Content-Encoding": "sonst"},
    ],
)
def test_another_media_type_or_coding_is_415(client: httpx.Client, headers: dict[str, str]) -> None:
    body = json.dumps(press_target()).encode()
    problem(client.post(PATH, content=body, headers=headers), 415)


@pytest.mark.parametrize(
    "kind",
    ["application/json", "application/json; charset=utf-8", 'APPLICATION/JSON;charset="UTF-8"'],
)
def test_json_in_utf8_is_taken(client: httpx.Client, kind: str) -> None:
    body = json.dumps(press_target()).encode()
    assert client.post(PATH, content=body, headers={"Content-Type": kind}).status_code == 200


def test_too_large_is_413_with_and_without_a_length(client: httpx.Client) -> None:
    body = b'{"items":[' + b",".join([b"{}"] * 1_000_000) + b"]}"

    def pieces() -> Iterator[bytes]:
        for start in range(0, len(body), 65536):
            yield body[start : start + 65536]

    started = time.monotonic()
    problem(client.post("/v1/tooling-picks", content=body, headers=JSON), 413)
    problem(client.post("/v1/tooling-picks", content=pieces(), headers=JSON), 413)
    assert time.monotonic() - started < 10  # refused by its size, not worked through


def test_the_limit_is_a_setting() -> None:
    with served(structs.replace(OPEN, max_body_bytes=1024)) as client:
        told = problem(client.post(PATH, content=b" " * 1025, headers=JSON), 413)
        assert "1024 bytes" in str(told["detail"])


def test_a_fault_is_told_once_and_the_next_question_is_answered(client: httpx.Client) -> None:
    problem(client.post(PATH, content=b"{", headers=JSON), 400)
    assert client.post(PATH, json=press_target()).json()["target"]["dial"]["stop_at"] == {
        "value": 140.0,
        "unit": "bar",
    }
