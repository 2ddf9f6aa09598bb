"""Every route and every key: let in exactly where the table below says, denied everywhere else."""

from collections.abc import Iterator

import httpx
import pytest
from litestar import get
from msgspec import structs

from service import app as wiring
from service.edge.doors import Needs, Place
from service.edge.guard import Clock
from service.edge.wrapper import Wrapper
from tests.service.edge.keys import NOW_S, SCOPES, bearer, every_key
from tests.service.serving import OPEN, fixed_day, served

NEEDS: dict[str, Needs] = {
    "GET /": "open",
    "GET /docs": "open",
    "GET /docs/start.js": "open",
    "GET /docs/swagger-ui-bundle.js": "open",
    "GET /docs/swagger-ui.css": "open",
    "GET /health/live": "open",
    "GET /health/ready": "open",
    "GET /openapi.json": "open",
    "GET /v1/activations": "read",
    "GET /v1/active": "read",
    "PUT /v1/active": "activate",
    "GET /v1/audit": "read",
    "POST /v1/press-targets": "read",
    "GET /v1/revisions": "read",
    "POST /v1/revisions": "propose",
    "GET /v1/revisions/{revision:str}": "read",
    "POST /v1/revisions/{revision:str}/approvals": "approve",
    "GET /v1/revisions/{revision:str}/catalog.sqlite": "read",
    "GET /v1/revisions/{revision:str}/tables.xlsx": "read",
    "GET /v1/withdrawals": "read",
    "GET /v1/revisions/{revision:str}/report.html": "read",
    "GET /v1/revisions/{revision:str}/diff/{other:str}": "read",
    "POST /v1/revisions/{revision:str}/impact": "read",
    "GET /v1/revisions/{revision:str}/report": "read",
    "GET /v1/revisions/{revision:str}/report.json": "read",
    "GET /v1/revisions/{revision:str}/tables/{table:str}": "read",
    "POST /v1/revisions/{revision:str}/withdrawals": "activate",
    "POST /v1/setup-checks": "read",
    "POST /v1/tooling-picks": "read",
    "POST /v1/tube-ratings": "read",
    "GET /v1/vocabulary": "read",
}
"""Scope of every method of every path, as it was decided: a change here is a decision."""

RING, TEXTS = every_key()
GOOD = tuple(SCOPES)
BAD = ("expired", "revoked", "unknown", "wrong")


@get("/v1/forgotten")
async def read_forgotten() -> dict[str, bool]:
    """A handler whose writer has forgotten to say who may ask."""
    return {"told": True}


def made(*, open_reading: bool) -> Wrapper:
    settings = structs.replace(OPEN, open_reading=open_reading)
    clock = Clock(epoch_s=lambda: NOW_S, pause=_at_once)
    app = wiring.create_app(settings, None, fixed_day, keyring=RING, clock=clock)
    app.guard.failures.interval_s = 0  # this test fails far more often than anybody may
    return app


async def _at_once(_seconds: float) -> None:
    """Nobody waits here."""


def places(app: Wrapper) -> list[Place]:
    return [*app.doors.exact.values(), *(place for _, place in app.doors.formed)]


APP = made(open_reading=False)
ASKED = [
    (method, place.form)
    for place in sorted(places(APP), key=lambda place: place.form)
    for method in place.allow
    if method != "OPTIONS"
]


@pytest.fixture(scope="module")
def locked() -> Iterator[httpx.Client]:
    with served(app=APP) as client:
        yield client


@pytest.fixture(scope="module")
def reading() -> Iterator[httpx.Client]:
    with served(app=made(open_reading=True)) as client:
        yield client


def needed(method: str, form: str) -> Needs:
    return NEEDS[f"{'GET' if method == 'HEAD' else method} {form}"]


def ask(client: httpx.Client, method: str, form: str, key: str | None) -> str:
    """What the edge makes of a caller: `in`, or why not."""
    path = "/".join("1" if "{" in part else part for part in form.split("/"))
    headers = {} if key is None else bearer(TEXTS[key])
    response = client.request(method, path, headers=headers)
    kinds = {401: "no right key", 403: "not allowed"}
    if response.status_code == 401:
        assert response.headers["www-authenticate"]
    assert response.status_code != 405
    return kinds.get(response.status_code, "in")


def test_the_table_has_every_route_and_no_other() -> None:
    told = {
        f"{method} {place.form}": door.needs
        for place in places(APP)
        for method, door in place.doors.items()
        if method not in {"HEAD", "OPTIONS"}
    }
    assert told == NEEDS


@pytest.mark.parametrize(("method", "form"), ASKED, ids=lambda part: str(part))
def test_a_route_lets_in_whom_the_table_says(locked: httpx.Client, method: str, form: str) -> None:
    needs = needed(method, form)
    everybody = needs == "open"
    for key in GOOD:
        expected = "in" if everybody or key == needs else "not allowed"
        assert ask(locked, method, form, key) == expected, key
    for stranger in (None, *BAD):
        expected = "in" if everybody else "no right key"
        assert ask(locked, method, form, stranger) == expected, stranger


@pytest.mark.parametrize(("method", "form"), ASKED, ids=lambda part: str(part))
def test_open_reading_opens_reading_and_nothing_else(
    reading: httpx.Client, method: str, form: str
) -> None:
    needs = needed(method, form)
    everybody = needs in {"open", "read"}
    for key in (*GOOD, None):
        refused = "no right key" if key is None else "not allowed"
        expected = "in" if everybody or key == needs else refused
        assert ask(reading, method, form, key) == expected, key
    for bad in BAD:
        expected = "in" if needs == "open" else "no right key"
        assert ask(reading, method, form, bad) == expected, bad


@pytest.mark.parametrize("open_reading", [False, True])
def test_a_handler_that_says_nothing_lets_nobody_in(*, open_reading: bool) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(wiring, "API_ROUTES", (read_forgotten,))
        app = made(open_reading=open_reading)
    with served(app=app) as client:
        for key in GOOD:
            assert ask(client, "GET", "/v1/forgotten", key) == "not allowed"
        for stranger in (None, *BAD):
            assert ask(client, "GET", "/v1/forgotten", stranger) == "no right key"
