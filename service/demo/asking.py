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
from msgspec import structs

from service.app import create_app
from service.demo.examples import Example
from service.settings import Settings
from service.store.store import Store

PATIENCE_S: Final = 120


@contextmanager
def served(settings: Settings, listening: socket.socket, store: Store) -> Iterator[None]:
    """Serve a store on a socket until the block ends.

    A thread and no process, so that the service can never outlive the demonstration.
    """
    app = create_app(structs.replace(settings, access_log=False), store=store)
    config = uvicorn.Config(app, log_level="error", access_log=False, server_header=False)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
    thread.start()
    while thread.is_alive() and not server.started:
        time.sleep(0.01)
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(PATIENCE_S)


def ask(port: int, example: Example) -> tuple[int, Any]:
    """Status and answer of one question."""
    return send(port, example.method, example.path, example.body)


def send(port: int, method: str, path: str, asked: Any, key: str = "") -> tuple[int, Any]:
    """Status and answer of one request, sent with a key where one is given."""
    body = None if asked is None else json.dumps(asked)
    headers = {} if body is None else {"Content-Type": "application/json"}
    if key:
        headers["Authorization"] = f"Bearer {key}"
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    try:
        connection.request(method, path, body, headers)
        response = connection.getresponse()
        return response.status, json.loads(response.read())
    finally:
        connection.close()
