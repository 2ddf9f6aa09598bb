"""How commands end: every refusal in words of the terminal, and what nobody reads any more."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import service.office
from service.cli.telling import DeskError, ended, told_of
from service.office.refused import OfficeError
from service.store.sqlite.refusals import StoreDamagedError, StoreError
from tests.service.commands import SHIPPED
from tests.service.desk.office import Office

OFFICE = Path(service.office.__path__[0])


def test_no_path_of_the_api_is_told_at_a_terminal() -> None:
    text = "".join(file.read_text(encoding="utf-8") for file in OFFICE.glob("*.py"))
    told = re.findall(r"(\w+ GET /v1/[a-z]+(?:/\{?\w+\}?)*[^\"]*)\"", text)
    assert len(told) >= 3
    for detail in told:
        (line,) = told_of(OfficeError("conflict", detail.replace("{revision}", "sha256:00")))
        assert "GET" not in line, line
        assert "`ringwright catalog " in line


@pytest.mark.parametrize(
    ("error", "code", "told"),
    [
        (DeskError("one", "two"), 1, "one\ntwo\n"),
        (DeskError("what", code=2), 2, "what\n"),
        (OfficeError("conflict", "taken: decide anew"), 1, "taken: decide anew\n"),
        (StoreError("full: make room"), 1, "full: make room\n"),
        (StoreDamagedError("a byte differs: put back"), 1, "a byte differs: put back\n"),
    ],
    ids=lambda each: type(each).__name__,
)
def test_every_refusal_is_told(
    error: Exception, code: int, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    def step() -> int:
        raise error

    assert ended(step) == code
    assert capsys.readouterr() == ("", told)


def test_a_bug_is_not_told_as_a_refusal() -> None:
    def step() -> int:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        ended(step)


@pytest.mark.parametrize(
    "command",
    [
        *("audit list --data {}", "audit list --json --data {}", "catalog revisions --data {}"),
        f"catalog check {shlex.quote(str(SHIPPED))}",
    ],
)
def test_output_that_nobody_reads_any_more_ends_it_in_silence(office: Office, command: str) -> None:
    command = command.format(shlex.quote(str(office.folder)))
    program = f"{sys.executable} -m service.cli {command}"
    # The reader is gone before anything is written.
    shell = f'{{ sleep 0.2; {program}; echo "code $?" >&2; }} | true'
    told = subprocess.run(
        ["sh", "-c", shell], capture_output=True, text=True, timeout=60, check=True
    )
    assert told.stderr == "code 141\n"


def test_notes_with_brackets_are_told_as_they_stand(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    office.sits(monkeypatch, "lead")
    said, _ = office.run(
        "catalog", "withdraw", "current", "--whole", "--reason", "[red]see [/b] :warning:"
    )
    assert "[red]see [/b] :warning:" in said
