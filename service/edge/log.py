"""The log: a line of JSON for each request, many of them written at once; faults wait for nothing.

Nothing is lost where a server is told to end; one that is killed loses a twentieth of a second.
"""

import asyncio
import logging
from collections.abc import Mapping
from typing import Final, Self, TextIO

import msgspec

FLUSH_S: Final = 0.05
"""Longest that a line of a request is kept back."""
FULL_BYTES: Final = 65_536
"""Lines that are kept back at most."""


class Log(logging.StreamHandler[TextIO]):
    """The one writer of a stream, whose own buffer holds the lines of requests for a while.

    What reaches it through `logging` is written at once, with all that came before it. Python
    flushes it when it ends, the edge when a server is told to, since that may end by the signal.
    """

    timer: asyncio.TimerHandle | None = None

    @classmethod
    def to(cls, stream: TextIO) -> Self:
        """Log on a stream of the process, with a buffer of its own."""
        own = open(  # noqa: SIM115 (as long as the process)
            stream.fileno(), "w", FULL_BYTES, "utf-8", "backslashreplace", closefd=False
        )
        return cls(own)

    def add(self, entry: Mapping[str, str | float]) -> None:
        """Add a line, from the event loop."""
        line = f"{msgspec.json.encode(entry).decode()}\n"
        self.acquire()
        try:
            self.stream.write(line)
        except OSError:
            self.handleError(logging.makeLogRecord({"msg": line}))
        finally:
            self.release()
        if self.timer is None:
            self.timer = asyncio.get_running_loop().call_later(FLUSH_S, self.flush)

    def flush(self) -> None:
        """Write what is kept back."""
        self.timer = None
        try:
            super().flush()
        except OSError:
            self.handleError(logging.makeLogRecord({"msg": "lines of requests"}))
