"""The demonstration: start the service, ask every example question over HTTP, tell the answers."""

import json
import socket
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any, Final

from msgspec import structs
from rich.console import Console

from catalog.seed import shipped_revision
from service.current import moment
from service.demo.asking import NoAnswerError, send, served
from service.demo.examples import Example, differences, examples
from service.demo.publishing import publish
from service.demo.telling import tell_answer, tell_vocabulary
from service.office.keys import make_key
from service.safety import SAFETY
from service.serving import address, cannot_serve, listening_at
from service.settings import Settings, SettingsError, fixed_day_note, settings_from
from service.store.records import Scope
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store

HOST: Final = "127.0.0.1"
PORT: Final = 8080
"""Port of the README's requests."""
CALLERS: Final[Mapping[str, tuple[Scope, ...]]] = {
    "erp": ("read",),
    "office": ("read", "propose"),
    "lead": ("read", "approve", "activate"),
}
DAY: Final = date(2026, 3, 2)
"""Day of the demonstration, so that its answers do not age with the gauges of its shop."""
INTERRUPTED: Final = 130
"""Exit code of a shell command that Ctrl-C ended before its time."""
WARNING: Final = " ".join(
    (
        "DEMONSTRATION: shop, tools and forces are invented.",
        "Do not press a real tube by these numbers.",
        *SAFETY,
    )
)


def demonstrate(port: int | None, *, once: bool) -> int:
    """Run the demonstration; 0 where every answer is as its example expects.

    Without a port it takes that of the README's requests, else a free one, and says so.
    """
    try:
        # It asks its own questions of its own port, and nobody has given it a key.
        settings = structs.replace(
            settings_from(), open_reading=True, requests_per_second=0, day=DAY
        )
        listening = _listening() if port is None else listening_at(HOST, port)
    except (SettingsError, OSError) as error:
        sys.stderr.write(cannot_serve(error, HOST, PORT if port is None else port))
        return 1
    width = None if sys.stdout.isatty() else 100
    console = Console(width=width, highlight=False, markup=False, emoji=False)
    try:
        return _demonstrate(console, settings, listening, once=once)
    except NoAnswerError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    except KeyboardInterrupt:
        console.print("\nended before every question was answered")
        return INTERRUPTED


def _listening() -> socket.socket:
    try:
        return listening_at(HOST, PORT)
    except OSError:
        return listening_at(HOST, 0)


def _announce(console: Console, listening: socket.socket, told: str) -> None:
    port = listening.getsockname()[1]
    if port != PORT:
        what = f"THIS IS PORT {port}, NOT {PORT}: put {port} into the requests of the README"
        console.print(what, style="bold red")
    console.print(told.format(address(listening)), soft_wrap=True)


def _demonstrate(
    console: Console, settings: Settings, listening: socket.socket, *, once: bool
) -> int:
    asked = examples()
    console.print(WARNING, style="bold red")
    console.print(fixed_day_note(settings))
    with stocked() as (store, keys), served(settings, listening, store):
        _announce(console, listening, "answering at {} from now on")
        wrong = sum(_ask(console, listening, each) for each in asked.values())
        wrong += publish(console, listening.getsockname()[1], keys)
        console.rule(characters="-")
        console.print(WARNING, style="bold red")
        told = f"{len(asked)} questions and one publication over HTTP"
        console.print(f"{told}, {wrong} not as expected")
        if not once:
            _keep_serving(console, listening, asked, keys)
    return 1 if wrong or not asked else 0


def _ask(console: Console, listening: socket.socket, example: Example) -> int:
    console.rule(f"{example.caller}: {example.name}", characters="-")
    console.print(f"asks: {example.question}", style="italic")
    port = listening.getsockname()[1]
    status, answer = send(console, port, example.method, example.path, example.body)
    console.print(f"{example.method} {example.path} -> {status}", style="dim")
    if example.operation == "vocabulary":
        tell_vocabulary(console, answer)
    else:
        tell_answer(console, answer)
    console.print(f"by hand: {example.why}", style="dim")
    found = differences(example.expect, status, answer)
    for each in found:
        console.print(f"NOT AS EXPECTED: {each}", style="bold red")
    return 1 if found else 0


@contextmanager
def stocked() -> Iterator[tuple[Store, dict[str, str]]]:
    """Store with the shipped tables that lives as long as the block, and a key for each caller."""
    with tempfile.TemporaryDirectory(prefix="ringwright-demo-") as room:
        store = open_store(Path(room), seed=shipped_revision(), at=moment())
        try:
            yield (
                store,
                {
                    name: make_key(
                        store, name, scopes, expires_at=None, by="demo", at=moment()
                    ).text
                    for name, scopes in CALLERS.items()
                },
            )
        finally:
            store.close()


def _keep_serving(
    console: Console,
    listening: socket.socket,
    asked: Mapping[str, Example],
    keys: Mapping[str, str],
) -> None:
    base = address(listening)
    example = next(e for e in asked.values() if e.operation == "press_target")
    console.print("\ntry:")
    console.print(curl_line(base, example.path, example.body), soft_wrap=True)
    console.print("reading needs no key here; keys of the office, good until this ends:")
    for name, key in keys.items():
        console.print(f"  {name:<7} {key}   ({', '.join(CALLERS[name])})", soft_wrap=True)
    console.print(f"the contract to read: {base}/docs")
    _announce(console, listening, "serving at {} until you press Ctrl-C")
    try:
        while True:
            time.sleep(3600)
    except KeyboardInterrupt:
        console.print("\nended")


def curl_line(base: str, path: str, body: Any) -> str:
    """One line for a shell that asks the question."""
    return f"curl -s {base}{path} -H 'Content-Type: application/json' -d '{json.dumps(body)}'"
