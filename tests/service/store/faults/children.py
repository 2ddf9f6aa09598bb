"""Processes that speak in lines: started, told to go, heard, and always ended."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_ROOT = Path(__file__).parents[4]


@contextmanager
def child(
    module: str, *arguments: str | Path | int, before: tuple[str, ...] = ()
) -> Iterator[subprocess.Popen[str]]:
    """A process of a module of this package; it is dead when the block ends."""
    process = subprocess.Popen(
        [*before, sys.executable, "-m", f"{__package__}.{module}", *map(str, arguments)],
        cwd=_ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def say(process: subprocess.Popen[str], line: str) -> None:
    """Send a line."""
    assert process.stdin is not None
    process.stdin.write(line + "\n")
    process.stdin.flush()


def hear(process: subprocess.Popen[str]) -> str:
    """Next line that a process says."""
    assert process.stdout is not None
    assert process.stderr is not None
    line = process.stdout.readline()
    assert line.endswith("\n"), process.stderr.read()
    return line.strip()
