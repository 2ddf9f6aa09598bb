"""The command line as a person runs it, in a process of its own; and quicker, in this one."""

import io
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path

from service.cli import main

SHIPPED = Path(__file__).parents[2] / "catalog" / "tables"
PATIENCE_S = 300


def run(*arguments: str | Path, code: int, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command to its end, which must have this exit code and no traceback."""
    ended = subprocess.run(
        [sys.executable, "-m", "service.cli", *map(str, arguments)],
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
        timeout=PATIENCE_S,
        check=False,
    )
    assert "Traceback" not in ended.stderr, ended.stderr
    assert ended.returncode == code, ended.stdout + ended.stderr
    return ended


def call(*arguments: str | Path, code: int) -> subprocess.CompletedProcess[str]:
    """Run a command in this process, where starting one for each test would take long."""
    said, complained = io.StringIO(), io.StringIO()
    with redirect_stdout(said), redirect_stderr(complained):
        ended = main([*map(str, arguments)])
    assert ended == code, said.getvalue() + complained.getvalue()
    return subprocess.CompletedProcess(arguments, ended, said.getvalue(), complained.getvalue())


@contextmanager
def running(*arguments: str) -> Iterator[subprocess.Popen[str]]:
    """A command that runs until the block ends, if it does not end before."""
    process = subprocess.Popen(
        [sys.executable, "-m", "service.cli", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        preexec_fn=take_interrupts,
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def interrupt(process: subprocess.Popen[str]) -> tuple[int, str, str]:
    """Press Ctrl-C: exit code, and what was said since and about it."""
    process.send_signal(signal.SIGINT)
    said, complained = process.communicate(timeout=PATIENCE_S)
    return process.returncode, said, complained


def line_with(process: subprocess.Popen[str], text: str) -> str:
    """Next line that a running command says with this text in it."""
    assert process.stdout is not None
    for line in process.stdout:
        if text in line:
            return line.strip()
    message = f"ended without saying `{text}`"
    raise AssertionError(message)


def tables_in(folder: Path, **changes: Callable[[str], str]) -> Path:
    """The shipped tables in a folder, those named changed."""
    tables = folder / "tables"
    shutil.copytree(SHIPPED, tables)
    for name, change in changes.items():
        file = tables / f"{name}.csv"
        before = file.read_text(encoding="utf-8")
        after = change(before)
        assert after != before, f"{name}: the change changed nothing"
        file.write_text(after, encoding="utf-8")
    return tables


def take_interrupts() -> None:
    """Heed Ctrl-C: a shell that starts the tests in the background has them ignore it."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
