"""Servers of their own processes, as they are deployed, and the processor time that they use."""

import http.client
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).parents[2]
TREE = ("catalog", "service", "openapi")
COMPILED = {"PYTHONDONTWRITEBYTECODE": ""}
"""A deployed program is compiled: a start that compiles it takes twice as long."""
LIMIT = {"RINGWRIGHT_REQUESTS_PER_SECOND": "1000000"}
"""The limit counts, and nothing reaches it."""


@contextmanager
def room_of(tree: Path) -> Iterator[Path]:
    """Folder from which the program of a source tree runs, with the tests of this one.

    Errors: `FileNotFoundError` where no such tree is there.
    """
    with TemporaryDirectory() as name:
        room = Path(name)
        for part in TREE:
            (room / part).symlink_to((tree / part).resolve(strict=True))
        (room / "tests").symlink_to(ROOT / "tests")
        yield room


def in_room(room: Path, *command: str) -> str:
    """What a command says that is run by the program of a room."""
    return subprocess.run(
        [sys.executable, *command],
        cwd=room,
        env={**os.environ, "PYTHONPATH": str(room)},
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    ).stdout


class Server:
    """A server on a free port, asked over one connection."""

    def __init__(self, room: Path, command: Sequence[str], environment: dict[str, str]) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port: int = probe.getsockname()[1]
        self.headers = {"Content-Type": "application/json"}
        with (room / f"log {self.port}").open("w") as log:
            self.process = subprocess.Popen(
                [sys.executable, "-m", *command, "--port", str(self.port)],
                cwd=room,
                env={**os.environ, **COMPILED, "PYTHONPATH": str(room), **environment},
                stdout=log,
                stderr=log,
            )
        self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        deadline = time.monotonic() + 120
        while True:
            try:
                self.connection.connect()
            except OSError:
                if time.monotonic() > deadline or self.process.poll() is not None:
                    sys.stderr.write((room / f"log {self.port}").read_text())
                    raise
                time.sleep(0.05)
            else:
                break
        # The port takes connections before anything behind it is ready.
        self.connection.request("GET", "/health/ready")
        self.connection.getresponse().read()

    def ask(self, path: str, body: bytes) -> bytes:
        """Answer to one POST."""
        self.connection.request("POST", path, body, self.headers)
        response = self.connection.getresponse()
        answer = response.read()
        if response.status != 200:
            raise RuntimeError(f"{path} answered {response.status}: {answer[:300]!r}")
        return answer

    def asked(self, path: str, bodies: Sequence[bytes]) -> tuple[float, list[bytes]]:
        """Processor time in us of a request, and the answers.

        The server ends a connection that was idle for five seconds while others were asked: a new
        one is made.
        """
        self.connection.close()
        self.connection.connect()
        before = self.processor_s()
        answers = [self.ask(path, body) for body in bodies]
        return (self.processor_s() - before) / len(bodies) * 1e6, answers

    def processor_s(self) -> float:
        """Processor time that the threads of the server have used, to the nanosecond."""
        threads = Path(f"/proc/{self.process.pid}/task").iterdir()
        return sum(int((t / "schedstat").read_text().split()[0]) for t in threads) / 1e9

    def resident_mb(self) -> float:
        """Memory of the server that is not swapped out, shared libraries with it."""
        pages = int(Path(f"/proc/{self.process.pid}/statm").read_text().split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def end(self) -> None:
        """End the server."""
        self.connection.close()
        self.process.terminate()
        self.process.wait(20)


@contextmanager
def serving(room: Path, *command: str, **environment: str) -> Iterator[Server]:
    """A server that ends with the block."""
    server = Server(room, command, environment)
    try:
        yield server
    finally:
        server.end()


@contextmanager
def by_uvicorn(app: str, **environment: str) -> Iterator[Server]:
    """An application of the tests alone, by the server that ours is served by."""
    bare = ("--no-access-log", "--no-server-header", "--log-level", "warning")
    made = ("--factory",) if ":create" in app else ()
    with room_of(ROOT) as room, serving(room, "uvicorn", app, *bare, *made, **environment) as each:
        yield each


def storing(room: Path) -> AbstractContextManager[Server]:
    """The service of a room as it is deployed: a store, the limit and the log on."""
    return serving(room, "service.cli", "serve", "--data", "data", **LIMIT)


@contextmanager
def deployed(room: Path) -> Iterator[Server]:
    """The service of a room as it is deployed, asked with a key."""
    key = in_room(room, "-m", "service.cli", "key", "make", "bench", "--scope=read", "--data=data")
    with storing(room) as server:
        server.headers["Authorization"] = f"Bearer {key.split()[-1]}"
        yield server
