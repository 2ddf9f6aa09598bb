"""Start the service on a port of its own, ask every example over HTTP, tell the answers."""

import http.client
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from rich.console import Console

from service.demo.examples import Example, differences, examples
from service.demo.telling import tell_answer

PATIENCE_S: Final = 30
WARNING: Final = (
    "DEMONSTRATION: shop, tools and forces are invented. Do not press a real tube by these "
    "numbers. The fitting maker's instructions, local codes and licensed practice come first. "
    "Wear eye protection, keep hands out of the press, never turn a nut under pressure."
)


def demonstrate(port: int, *, once: bool) -> int:
    """Run the demonstration; 0 where every answer is as its example expects."""
    console = Console(width=None if sys.stdout.isatty() else 100, highlight=False)
    console.print(WARNING, style="bold red")
    with _served(port) as at:
        base = f"http://127.0.0.1:{at}"
        wrong = sum(_ask(console, at, each) for each in examples().values())
        console.rule()
        console.print(WARNING, style="bold red")
        console.print(f"{len(examples())} questions asked over HTTP, {wrong} not as expected")
        if once:
            return 1 if wrong else 0
        console.print(f"serving at {base}, the contract is at {base}/docs; Ctrl-C ends it")
        console.print(f"try: curl -s {base}/v1/vocabulary")
        try:
            while True:
                time.sleep(3600)
        except KeyboardInterrupt:
            console.print("ended")
    return 1 if wrong else 0


def _ask(console: Console, port: int, example: Example) -> int:
    console.rule(f"{example.caller}: {example.name}")
    console.print(example.question, style="italic")
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    body = None if example.body is None else json.dumps(example.body)
    headers = {} if body is None else {"Content-Type": "application/json"}
    connection.request(example.method, example.path, body, headers)
    response = connection.getresponse()
    answer = json.loads(response.read())
    connection.close()
    console.print(f"{example.method} {example.path} -> {response.status}", style="dim")
    if example.operation == "vocabulary":
        _tell_vocabulary(console, answer)
    else:
        tell_answer(console, answer)
    console.print(f"  by hand: {example.why}", style="dim")
    found = differences(example.expect, response.status, answer)
    for each in found:
        console.print(f"  NOT AS EXPECTED: {each}", style="bold red")
    return 1 if found else 0


def _tell_vocabulary(console: Console, answer: Any) -> None:
    console.print(f"  revision {answer['revision']}, rules {answer['rules']}")
    console.print(f"  {len(answer['codes'])} codes, {len(answer['enums'])} closed lists")


@contextmanager
def _served(port: int) -> Iterator[int]:
    """Port of a service in a process of its own, which ends with the block."""
    at = port or _free_port()
    command = [sys.executable, "-m", "service.cli", "serve", "--port", str(at)]
    environment = {**os.environ, "RINGWRIGHT_ACCESS_LOG": "false"}
    # A session of its own: Ctrl-C reaches the demonstration alone, which then ends the service.
    process = subprocess.Popen(  # noqa: S603 - our own interpreter and module
        command, env=environment, stdout=subprocess.DEVNULL, start_new_session=True
    )
    try:
        _wait(process, at)
        yield at
    finally:
        process.terminate()
        process.wait(PATIENCE_S)


def _wait(process: subprocess.Popen[bytes], port: int) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        if process.poll() is not None:
            message = f"the service ended at once with code {process.returncode}"
            raise SystemExit(message)
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    message = f"the service did not answer within {PATIENCE_S} s"
    raise SystemExit(message)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
