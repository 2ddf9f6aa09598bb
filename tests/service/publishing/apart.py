"""The service over the store of a folder, in a process of its own, as a second host would run it.

`python -m tests.service.publishing.apart FOLDER MS` writes its address, serves until it is ended,
and follows within so many ms what another process has committed.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

import httpx
import uvicorn
from msgspec import structs

from service.app import create_app
from service.serving import address, listening_at
from service.store.sqlite import open_store
from tests.service.publishing.shop import AT, QUIET
from tests.service.serving import fixed_day

ROOT: Final = Path(__file__).parents[3]


@contextmanager
def apart(folder: Path, follow_within_ms: int = 0) -> Iterator[httpx.Client]:
    """Client of the service over a folder in another process, until the block ends."""
    process = subprocess.Popen(
        [sys.executable, "-m", __spec__.name, str(folder), str(follow_within_ms)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    try:
        assert process.stdout is not None
        base = process.stdout.readline().strip()
        assert base.startswith("http://"), "the other process has ended before it served"
        with httpx.Client(base_url=base, timeout=60) as client:
            _wait(client)
            yield client
    finally:
        process.kill()
        process.communicate()


def _wait(client: httpx.Client) -> None:
    for _ in range(500):
        try:
            client.get("/health/live")
        except httpx.TransportError:
            time.sleep(0.02)
        else:
            return
    message = "the other process does not answer"
    raise AssertionError(message)


def main(folder: Path, follow_within_ms: int) -> None:
    """Serve a folder."""
    store = open_store(folder, seed=None, at=AT)
    listening = listening_at("127.0.0.1", 0)
    settings = structs.replace(QUIET, follow_within_ms=follow_within_ms)
    app = create_app(settings, store=store, today=fixed_day)
    sys.stdout.write(f"{address(listening)}\n")
    sys.stdout.flush()
    uvicorn.Server(uvicorn.Config(app, log_level="critical")).run([listening])


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
