"""The README's requests, as they stand there, sent to what its command starts."""

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from service.demo.examples import differences, examples
from service.demo.running import PORT
from service.demo.telling import tell_answer
from tests.service.commands import PATIENCE_S, line_with, running

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
REQUESTS = re.findall(r"^curl .*$", README, flags=re.MULTILINE)
FIRST_COMMAND = re.search(r"^python3 -m pip .*$", README, flags=re.MULTILINE)

ANSWER = re.findall(r"```text\n(.*?)```", README, flags=re.DOTALL)[0].splitlines()


@pytest.fixture(scope="module")
def port() -> Iterator[str]:
    """Port that the README's first command says it serves."""
    assert FIRST_COMMAND
    with running(*FIRST_COMMAND[0].split(" ringwright ")[1].split()) as process:
        said = line_with(process, "answering at http://127.0.0.1:")
        yield said.split()[2].rpartition(":")[2]


def test_the_readme_has_requests_of_the_three_callers() -> None:
    assert len(ANSWER) == 7
    assert [re.findall(r"/v1/[a-z-]+", line) for line in REQUESTS] == [
        ["/v1/tooling-picks"],
        ["/v1/setup-checks"],
        ["/v1/press-targets"],
    ]


@pytest.mark.skipif(shutil.which("curl") is None, reason="this machine has no curl")
@pytest.mark.parametrize("request_line", REQUESTS)
def test_a_request_of_the_readme_is_answered_as_its_example_expects(
    request_line: str, port: str
) -> None:
    assert f":{PORT}/" in request_line
    # Another program may hold that port here, as on a reader's machine: the demonstration then says
    # which port to put in its place, and nothing else of the line is touched.
    line = request_line.replace(f":{PORT}/", f":{port}/")
    ended = subprocess.run(
        ["bash", "-c", line],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=True,
    )
    example = examples()[Path(line.rpartition("@")[2]).stem]
    answer = json.loads(ended.stdout)
    assert differences(example.expect, 200, answer) == []
    if line == REQUESTS[-1].replace(f":{PORT}/", f":{port}/"):
        assert [each for each in ANSWER if each not in flat_told(answer)] == []


def flat_told(answer: Any) -> str:
    """Answer as the demonstration tells it, without its breaks and indents."""
    console = Console(width=100, highlight=False, markup=False, emoji=False)
    with console.capture() as told:
        tell_answer(console, answer)
    return " ".join(told.get().split())
