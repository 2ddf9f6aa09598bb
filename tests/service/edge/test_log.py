"""The log: lines wait for each other, but never long, never behind a fault, and none is lost."""

import asyncio
import io
import json
import logging
import signal
from pathlib import Path

import httpx
import pytest

from service.edge.log import FLUSH_S, FULL_BYTES, Log
from tests.service.commands import line_with, running


def test_lines_wait_for_each_other_and_not_for_long(tmp_path: Path) -> None:
    file = tmp_path / "log"

    async def two_lines() -> None:
        with file.open("w") as stream:
            log = Log.to(stream)
            log.add({"n": 1})
            log.add({"n": 2})
            assert file.read_bytes() == b""
            await asyncio.sleep(FLUSH_S * 2)
            assert file.read_bytes() == b'{"n":1}\n{"n":2}\n'
            log.add({"n": 3})
            await asyncio.sleep(FLUSH_S * 2)
            assert file.read_bytes().endswith(b'{"n":3}\n')

    asyncio.run(two_lines())


def test_lines_are_written_where_there_are_many(tmp_path: Path) -> None:
    file = tmp_path / "log"

    async def many_lines() -> None:
        with file.open("w") as stream:
            log = Log.to(stream)
            for _ in range(2 * FULL_BYTES // 100):
                log.add({"path": "p" * 100})
            assert file.stat().st_size >= FULL_BYTES
            log.flush()

    asyncio.run(many_lines())


def test_a_fault_is_written_at_once_after_the_lines_before_it(tmp_path: Path) -> None:
    file = tmp_path / "log"

    async def fault() -> None:
        with file.open("w") as stream:
            log = Log.to(stream)
            log.add({"n": 1})
            log.emit(logging.makeLogRecord({"msg": "request 1 \ud800 failed"}))
            assert file.read_bytes() == b'{"n":1}\nrequest 1 \\ud800 failed\n'

    asyncio.run(fault())


class _Full(io.StringIO):
    def write(self, _text: str) -> int:
        raise OSError(28, "No space left on device")


def test_a_disk_that_is_full_fails_no_request(capsys: pytest.CaptureFixture[str]) -> None:
    async def line() -> None:
        Log(_Full()).add({"n": 1})

    asyncio.run(line())
    assert "No space left on device" in capsys.readouterr().err


@pytest.mark.parametrize("ended_by", [signal.SIGTERM, signal.SIGINT])
def test_a_server_that_is_told_to_end_loses_no_line(ended_by: signal.Signals) -> None:
    asked = 40
    with running("serve", "--port", "0") as process:
        base = line_with(process, "serving at ").split()[2].rstrip(",")
        with httpx.Client(base_url=base) as client:
            for n in range(asked):
                client.get("/health/live", headers={"X-Request-Id": f"r{n}"})
            process.send_signal(ended_by)
        written, _ = process.communicate(timeout=60)
    lines = [json.loads(line) for line in written.splitlines() if line.startswith("{")]
    assert [line["request_id"] for line in lines] == [f"r{n}" for n in range(asked)]


class Gone(io.StringIO):
    """A stream that nobody reads any more."""

    def flush(self) -> None:
        raise BrokenPipeError


def test_a_reader_that_is_gone_stops_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    async def lines_for_nobody() -> None:
        log = Log(Gone())
        log.add({"n": 1})
        log.flush()

    asyncio.run(lines_for_nobody())
    assert "BrokenPipeError" in capsys.readouterr().err
