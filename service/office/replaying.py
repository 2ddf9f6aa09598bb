"""Make a report in a process of its own, so that the bench is answered while the office waits.

Replaying everything that the tables can answer keeps a core busy for seconds, and Python runs one
thread at a time. `python -m service.office.replaying` is the other side: tables in, report out.
"""

import subprocess
import sys
from typing import Final

import msgspec
from msgspec import Struct

from catalog.impact import Progress
from catalog.publishing import Report, report_bytes, report_on
from catalog.revision import Revision, revision_of, table_bytes, table_rows
from catalog.rows import TABLES

PATIENCE_S: Final = 600
"""Seconds after which a report that is not made is given up."""


class ReplayError(Exception):
    """A report that was not made: a bug, or a machine without room."""


class _Tables(Struct, frozen=True):
    revision: dict[str, bytes]
    against: dict[str, bytes]


def replayed_apart(revision: Revision, against: Revision, _progress: Progress) -> Report:
    """Report as `report_on` makes it, from another process; its progress is not told.

    Errors: `ReplayError`.
    """
    asked = msgspec.msgpack.encode(_Tables(_packed(revision), _packed(against)))
    command = [sys.executable, "-m", __spec__.name]
    try:
        ended = subprocess.run(  # noqa: S603 (our own module, no text of a caller)
            command, input=asked, capture_output=True, check=True, timeout=PATIENCE_S
        )
    except subprocess.CalledProcessError as error:
        message = f"the report was not made: {error.stderr.decode(errors='replace')[-2000:]}"
        raise ReplayError(message) from error
    except (OSError, subprocess.TimeoutExpired) as error:
        message = f"the report was not made: {error}"
        raise ReplayError(message) from error
    return msgspec.json.decode(ended.stdout, type=Report)


def main() -> int:
    """Read two revisions from the input, write the report on the first against the second."""
    asked = msgspec.msgpack.decode(sys.stdin.buffer.read(), type=_Tables)
    report = report_on(_unpacked(asked.revision), _unpacked(asked.against))
    sys.stdout.buffer.write(report_bytes(report))
    return 0


def _packed(revision: Revision) -> dict[str, bytes]:
    return {name: table_bytes(rows) for name, rows in revision.tables.items()}


def _unpacked(tables: dict[str, bytes]) -> Revision:
    return revision_of({name: table_rows(name, tables[name]) for name in TABLES})


if __name__ == "__main__":
    sys.exit(main())
