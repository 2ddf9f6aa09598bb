"""What a response brings along is left as it is: ETag, Cache-Control, what its page may load."""

from collections.abc import Iterator

import httpx
import pytest
from litestar import Response, get, put

from service import app as wiring
from tests.service.serving import OPEN, fixed_day, served

OWN = {
    "etag": '"activation-7"',
    "cache-control": "no-store",
    "content-security-policy": "default-src 'none'; style-src 'self'",
}


@get("/try/own", opt={"scope": "open"})
async def read_own() -> Response[bytes]:
    return Response(b"<p>", media_type="text/html", headers=OWN)


@put("/try/own", opt={"scope": "open"})
async def put_own() -> Response[bytes]:
    return Response(b"{}", status_code=201, media_type="application/json", headers=OWN)


@pytest.fixture(scope="module")
def own() -> Iterator[httpx.Client]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(wiring, "API_ROUTES", (read_own, put_own))
        app = wiring.create_app(OPEN, None, fixed_day)
    with served(app=app) as client:
        yield client


@pytest.mark.parametrize("method", ["GET", "HEAD", "PUT"])
def test_it_is_sent_as_it_came_and_once(own: httpx.Client, method: str) -> None:
    response = own.request(method, "/try/own")
    assert response.status_code == (201 if method == "PUT" else 200)
    for name, value in OWN.items():
        assert response.headers.get_list(name) == [value]


def test_its_own_etag_is_compared(own: httpx.Client) -> None:
    unchanged = own.get("/try/own", headers={"If-None-Match": OWN["etag"]})
    assert (unchanged.status_code, unchanged.content) == (304, b"")
    assert unchanged.headers["etag"] == OWN["etag"]
    assert own.get("/try/own", headers={"If-Match": OWN["etag"]}).status_code == 200
    assert own.get("/try/own", headers={"If-Match": '"other"'}).status_code == 412
    # Only a read is compared here: what a change asks for is for the handler to compare.
    assert own.put("/try/own", headers={"If-Match": '"other"'}).status_code == 201
