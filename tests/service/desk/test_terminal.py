"""At a terminal: what is replaced is shown and asked, and long work shows how far it has come."""

import os
import pty
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from service.settings import KEY
from tests.service.commands import PATIENCE_S, take_interrupts
from tests.service.commands import SHIPPED as TABLES
from tests.service.desk.office import Office, newest, steps_of
from tests.service.desk.test_steps import SHIPPED, active, approve

pytestmark = pytest.mark.apart

PROPOSE = ("catalog", "propose")
BASE = ("--base", "current", "--note", "measured anew")


class Terminal:
    """A command at a terminal of 80 columns, in the name of somebody."""

    def __init__(self, office: Office, who: str, *arguments: str | Path) -> None:
        self.ours, theirs = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "service.cli", *map(str, arguments), "--data", office.folder],
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            env={**os.environ, KEY: office.keys[who], "TERM": "xterm"},
            preexec_fn=take_interrupts,
        )
        os.close(theirs)
        self.screen = ""

    def until(self, text: str | None) -> None:
        """Read until this text is shown; None is until the command has ended."""
        end_s = time.monotonic() + PATIENCE_S
        while text is None or text not in self.screen:
            assert time.monotonic() < end_s, self.screen
            if not select.select([self.ours], [], [], 0.1)[0]:
                continue
            try:
                self.screen += os.read(self.ours, 65536).decode(errors="replace")
            except OSError:  # nobody is at the other side any more
                assert text is None, self.screen
                return

    def type(self, text: str) -> None:
        """Type this."""
        os.write(self.ours, text.encode())

    def end(self) -> int:
        """Exit code, once all was read."""
        self.until(None)
        code = self.process.wait(PATIENCE_S)
        os.close(self.ours)
        return code


@pytest.fixture
def approved(proposed: Office, monkeypatch: pytest.MonkeyPatch) -> Office:
    """An office whose proposal `lead` has approved."""
    proposed.sits(monkeypatch, "lead")
    approve(proposed)
    return proposed


@pytest.mark.parametrize(
    ("answer", "code"), [("yes\n", 0), ("YES \n", 0), ("no\n", 1), ("\n", 1), ("\x04", 1)]
)
def test_what_is_replaced_is_shown_and_asked(approved: Office, answer: str, code: int) -> None:
    new = newest(approved)
    terminal = Terminal(approved, "lead", "catalog", "activate", new, "--note", "in use")
    terminal.until("> ")
    assert "activation 1 holds: " in terminal.screen
    assert "type `yes` if it shall" in terminal.screen
    terminal.type(answer)
    assert terminal.end() == code, terminal.screen
    assert active(approved) == (SHIPPED if code else new)
    assert ("nothing was activated" in terminal.screen) is bool(code)


def test_whoever_says_what_they_have_seen_is_not_asked(approved: Office) -> None:
    given = newest(approved), "--note", "in use", "--expected", "1"
    terminal = Terminal(approved, "lead", "catalog", "activate", *given)
    assert terminal.end() == 0
    assert "type `yes`" not in terminal.screen


def a_press_in(folder: Path) -> Path:
    """`presses.csv`, the pump of one press another: all of its targets are replayed, in seconds."""
    text = (TABLES / "presses.csv").read_text(encoding="utf-8")
    assert text.count(",30,2,0.3,300,") == 1
    file = folder / "presses.csv"
    file.write_text(text.replace(",30,2,0.3,300,", ",30,2.5,0.3,300,"), encoding="utf-8")
    return file


def test_a_replay_shows_how_far_it_has_come(office: Office, tmp_path: Path) -> None:
    terminal = Terminal(office, "office", *PROPOSE, a_press_in(tmp_path), *BASE)
    assert terminal.end() == 0
    done = [tuple(map(int, each)) for each in re.findall(r" (\d+)/(\d{3,})\x1b", terminal.screen)]
    assert "replaying what the tables can answer" in terminal.screen
    assert len({each for each, _ in done if each}) > 1
    assert done == sorted(done)
    assert "is proposed" in terminal.screen


def test_an_interrupt_during_the_replay_leaves_nothing(office: Office, tmp_path: Path) -> None:
    before = steps_of(office.folder)
    terminal = Terminal(office, "office", *PROPOSE, a_press_in(tmp_path), *BASE)
    terminal.until("replaying what")
    terminal.process.send_signal(signal.SIGINT)
    assert terminal.end() == 130
    assert "ended before it was done" in terminal.screen
    assert "Traceback" not in terminal.screen
    assert steps_of(office.folder) == before
