"""Bodies have a limit, uploads one of their own, with a Content-Length and without."""

from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from litestar import post
from msgspec import structs

from service import app as wiring
from service.edge.decoding import StrictRequest
from service.edge.guard import Clock
from tests.service.edge.keys import NOW_S, bearer, every_key
from tests.service.serving import OPEN, connected, fixed_day, served

LIMIT, UPLOAD_LIMIT = 2000, 50_000


@post("/try/upload", opt={"scope": "propose", "upload": True}, status_code=200)
async def upload(request: StrictRequest) -> dict[str, int]:
    return {"bytes": len(await request.body())}


@post("/try/form", opt={"scope": "propose", "upload": True}, status_code=200)
async def form(request: StrictRequest) -> dict[str, Any]:
    texts, files = await request.parts()
    return {"texts": texts, "files": {name: len(content) for name, content in files.items()}}


@post("/try/plain", opt={"scope": "propose"}, status_code=200)
async def plain(request: StrictRequest) -> dict[str, int]:
    return {"bytes": len(await request.body())}


@pytest.fixture(scope="module")
def limited() -> Iterator[httpx.Client]:
    ring, texts = every_key()
    settings = structs.replace(OPEN, max_body_bytes=LIMIT, max_upload_bytes=UPLOAD_LIMIT)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(wiring, "API_ROUTES", (upload, form, plain))
        app = wiring.create_app(
            settings, None, fixed_day, keyring=ring, clock=Clock(epoch_s=lambda: NOW_S)
        )
    with served(app=app) as client:
        client.headers.update(bearer(texts["propose"]))
        yield client


def chunks(size: int) -> Iterator[bytes]:
    for start in range(0, size, 700):
        yield b"x" * min(700, size - start)


@pytest.mark.parametrize("chunked", [False, True], ids=["with a length", "in chunks"])
@pytest.mark.parametrize(("path", "limit"), [("upload", UPLOAD_LIMIT), ("plain", LIMIT)])
def test_a_body_of_the_limit_is_read_and_a_byte_more_is_not(
    limited: httpx.Client, path: str, limit: int, *, chunked: bool
) -> None:
    def send(size: int) -> httpx.Response:
        return limited.post(f"/try/{path}", content=chunks(size) if chunked else b"x" * size)

    assert send(limit).json() == {"bytes": limit}
    refused = send(limit + 1)
    assert refused.status_code == 413
    assert refused.headers["content-type"] == "application/problem+json"
    assert f"over {limit} bytes" in refused.json()["detail"]


def test_a_chunked_upload_without_end_is_ended(limited: httpx.Client) -> None:
    key = limited.headers["authorization"].encode()
    with connected(limited) as connection:
        connection.sendall(
            b"POST /try/upload HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: chunked\r\n"
            b"Authorization: " + key + b"\r\n\r\n"
        )
        sent = 0
        while sent <= UPLOAD_LIMIT:
            connection.sendall(b"2bc\r\n" + b"x" * 700 + b"\r\n")
            sent += 700
        assert connection.recv(65536).startswith(b"HTTP/1.1 413")


def test_a_length_that_lies_does_not_widen_the_limit(limited: httpx.Client) -> None:
    key = limited.headers["authorization"].encode()
    head = b"POST /try/upload HTTP/1.1\r\nHost: x\r\nAuthorization: " + key + b"\r\n"
    with connected(limited) as connection:
        connection.sendall(head + b"Content-Length: 60000\r\n\r\n")
        assert connection.recv(65536).startswith(b"HTTP/1.1 413")
    with connected(limited) as connection:  # a length and chunks: which holds cannot be known
        connection.sendall(head + b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n")
        connection.sendall(b"".join(b"2bc\r\n" + b"x" * 700 + b"\r\n" for _ in range(80)))
        assert connection.recv(65536)[:12] in {b"HTTP/1.1 400", b"HTTP/1.1 413"}


def test_a_form_is_read_whole_and_in_its_limit(limited: httpx.Client) -> None:
    files = [
        ("file", ("targets.csv", b"a,b\n" * 3000, "text/csv")),
        ("file", ("C:\\tables\\sizes.csv", b"\xff\x00", "application/octet-stream")),
        ("file", ("/home/x/gauges.csv", b"", "text/csv")),
    ]
    told = limited.post("/try/form", data={"note": "a new \u00e4"}, files=files)
    assert told.json() == {
        "texts": {"note": "a new \u00e4"},
        "files": {"targets.csv": 12_000, "sizes.csv": 2, "gauges.csv": 0},
    }
    over = [("file", ("targets.csv", b"x" * UPLOAD_LIMIT, "text/csv"))]
    assert limited.post("/try/form", files=over).status_code == 413


def test_a_form_that_is_none_is_refused(limited: httpx.Client) -> None:
    whole = (
        b'--b\r\nContent-Disposition: form-data; name="note"\r\n'
        b"Content-Type: text/plain; charset=nothing\r\n\r\nhi\r\n--b--\r\n"
    )
    form_of_b = "multipart/form-data; boundary=b"

    def send(content: bytes, kind: str, **more: str) -> int:
        headers = {"Content-Type": kind, **more}
        return limited.post("/try/form", content=content, headers=headers).status_code

    assert send(whole, form_of_b) == 200  # text is UTF-8, whatever else is said
    assert send(whole, "multipart/form-data") == 415
    assert send(whole, "application/json") == 415
    assert send(whole, form_of_b, **{"Content-Encoding": "gzip"}) == 415
    assert send(whole[:-10], form_of_b) == 400
    assert send(b"", form_of_b) == 400
    assert send(whole.replace(b"\r\nhi", b"\r\n\xff"), form_of_b) == 422
    assert send(whole[:-7] + b"\r\n" + whole, form_of_b) == 422  # the note stands twice
    many = whole[: whole.index(b"--b--")] * 101
    assert send(many.replace(b"note", b"n") + b"--b--\r\n", form_of_b) == 400
