"""The real service on a real port, for tests that ask over HTTP."""

import io
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any

import httpx
import uvicorn

from catalog.index import Index
from service.app import create_app
from service.edge.log import Log
from service.edge.wrapper import Wrapper
from service.settings import Settings

DAY = date(2026, 3, 2)

OPEN = Settings(open_reading=True, requests_per_second=0)
"""Settings of tests that are about neither keys nor limits."""


def fixed_day() -> date:
    """The day of every test, so that no answer ages."""
    return DAY


@contextmanager
def served(
    settings: Settings = OPEN, index: Index | None = None, *, app: Wrapper | None = None
) -> Iterator[httpx.Client]:
    """Client of a service, of the one given or one of its own, that runs until the block ends."""
    app = app or create_app(settings, index, fixed_day)
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        config = uvicorn.Config(app, log_level="critical", server_header=False)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        try:
            while not server.started:
                assert thread.is_alive(), "the server has ended before it served"
                time.sleep(0.01)
            with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=120) as client:
                yield client
        finally:
            server.should_exit = True
            thread.join(10)


class _Lines(io.StringIO):
    """Stream that keeps what is written to it, a text for each time."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []

    def write(self, text: str) -> int:
        self.lines.append(text)
        return len(text)


@contextmanager
def logged(settings: Settings = OPEN, **more: Any) -> Iterator[tuple[httpx.Client, list[str]]]:
    """Client of a service of its own, and the lines of its log so far."""
    stream = _Lines()
    app = create_app(settings, None, fixed_day, log=Log(stream), **more)
    with served(app=app) as client:
        yield client, stream.lines


@contextmanager
def connected(client: httpx.Client) -> Iterator[socket.socket]:
    """Bare connection to the service of a client, for what no client library would send."""
    address = (client.base_url.host, client.base_url.port or 80)
    with socket.create_connection(address, timeout=30) as connection:
        yield connection


def mm(value: float) -> dict[str, Any]:
    """Length in mm as a question gives it."""
    return {"value": value, "unit": "mm"}


def press_target(**more: Any) -> dict[str, Any]:
    """Question for the press target of 16S x 2 on press-b with gauge-b."""
    return {
        "tube": {"od": mm(16), "wall": mm(2), "material": "e235-n"},
        "fitting": {"series": "S", "ring_style": "metal", "ring_material": "carbon-steel"},
        "press": "press-b",
        "gauge": "gauge-b",
        **more,
    }
