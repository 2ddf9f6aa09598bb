"""The service on a port of its own, and a question asked of it over HTTP."""

import http.client
import json
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

import uvicorn
from rich.console import Console

from service.app import create_app
from service.office import replaying
from service.settings import Settings
from service.store.sqlite.keeping import Store

PATIENCE_S: Final = replaying.PATIENCE_S + 60
"""The service itself gives a report up after its own patience, and says so: that must be heard."""
REMINDING_S: Final = 10
"""Seconds after which, again and again, a person is told that an answer is still awaited."""
_ENDING_S: Final = 120


class NoAnswerError(Exception):
    """The service gave no answer; the message says to what, and what to do."""


@contextmanager
def served(settings: Settings, listening: socket.socket, store: Store) -> Iterator[None]:
    """Serve a store on a socket until the block ends.

    A thread and no process, so that the service can never outlive the demonstration.
    """
    app = create_app(settings, store=store)
    config = uvicorn.Config(app, log_level="error", access_log=False, server_header=False)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
    thread.start()
    while thread.is_alive() and not server.started:
        time.sleep(0.01)
    if not server.started:
        listening.close()
        message = "the service did not start: run `ringwright serve` to see why"
        raise NoAnswerError(message)
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(_ENDING_S)


def send(
    console: Console, port: int, method: str, path: str, asked: Any, key: str = ""
) -> tuple[int, Any]:
    """Status and answer of one request, sent with a key where one is given.

    Errors: `NoAnswerError`.
    """
    body = None if asked is None else json.dumps(asked)
    headers = {} if body is None else {"Content-Type": "application/json"}
    if key:
        headers["Authorization"] = f"Bearer {key}"
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        with _reminding(console, f"{method} {path}"):
            connection.request(method, path, body, headers)
            response = connection.getresponse()
            return response.status, json.loads(response.read())
    except TimeoutError as error:
        message = (
            f"{method} {path} was not answered within {PATIENCE_S} s: "
            "end what else keeps this machine busy, then start again"
        )
        raise NoAnswerError(message) from error
    except (OSError, http.client.HTTPException, ValueError) as error:
        message = f"{method} {path} was not answered: {str(error) or type(error).__name__}"
        raise NoAnswerError(message) from error
    finally:
        connection.close()


@contextmanager
def _reminding(console: Console, what: str) -> Iterator[None]:
    """Say every few seconds that an answer is still awaited, until the block ends."""
    ended = threading.Event()
    begun = time.monotonic()

    def remind() -> None:
        while not ended.wait(REMINDING_S):
            so_far_s = time.monotonic() - begun
            console.print(f"  still waiting for {what}: {so_far_s:.0f} s, at most {PATIENCE_S} s")

    thread = threading.Thread(target=remind, daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()
