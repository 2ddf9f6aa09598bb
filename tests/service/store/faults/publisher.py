"""Processes that publish one revision after the other and say each step that was stored.

They are forks of one that has read the tables already, so that each is at work at once.
"""

import os
import sys
from pathlib import Path

from service.store.sqlite import open_store
from tests.service.store.office import SHIPPED, activate, at, propose, report_and_approve, small

AHEAD = 12
"""Revisions that one process can publish; they are made before it starts."""


def main() -> None:
    """Start a process for each line, a folder and a number, and say when it has ended."""
    for line in sys.stdin:
        folder, first = line.rsplit(maxsplit=1)
        numbers = range(int(first), int(first) + AHEAD)
        for number in numbers:
            small(number)
        process = os.fork()
        if process == 0:
            _publish(Path(folder), numbers)
            os._exit(0)
        _, status = os.waitpid(process, 0)
        _say(f"ended {os.waitstatus_to_exitcode(status)}")


def _publish(folder: Path, numbers: range) -> None:
    """Publish these, first of all saying under which process id."""
    _say(f"opening {os.getpid()}")
    store = open_store(folder, seed=SHIPPED, at=at(0))
    _say("opened")
    for number in numbers:
        revision = small(number).id
        propose(store, small(number))
        _say(f"propose {revision}")
        report_and_approve(store, revision)
        with store.reading() as records:
            (approval,) = records.approvals(revision)
        _say(f"approve {revision}")
        activate(store, revision, approval=approval.n)
        _say(f"activate {revision}")


def _say(line: str) -> None:
    os.write(1, line.encode() + b"\n")  # no buffer: what was said is out when the process dies


if __name__ == "__main__":
    main()
