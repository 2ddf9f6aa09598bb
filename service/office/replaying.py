"""Make a report in a process of its own, so that the bench is answered while the office waits.

Replaying everything that the tables can answer keeps a core busy for seconds, and Python runs one
thread at a time. `python -m service.office.replaying` is the other side: tables in, report out.
"""

import os
import subprocess
import sys
from collections.abc import Sequence
from typing import Final

import msgspec
from msgspec import Struct

from catalog.impact import Progress
from catalog.publishing import Report, report_bytes, report_on
from catalog.revision import Manifest, Revision, table_bytes, table_rows
from catalog.terms import RULES_VERSION
from catalog.withdrawing import WithdrawnRow
from service.settings import KEY

PATIENCE_S: Final = 600
"""Seconds after which a report that is not made is given up."""


class ReplayError(Exception):
    """A report that was not made: a bug, or a machine without room."""


class _Packed(Struct, frozen=True):
    """A revision whose rows are of today, whatever its manifest was written in."""

    id: str
    manifest: Manifest
    tables: dict[str, bytes]


class _Asked(Struct, frozen=True):
    revision: _Packed
    against: _Packed
    withdrawn: tuple[WithdrawnRow, ...]


def replayed_apart(
    revision: Revision,
    against: Revision,
    withdrawn: Sequence[WithdrawnRow],
    _progress: Progress,
) -> Report:
    """Report as `report_on` makes it, from another process; its progress is not told.

    Errors: `ReplayError`.
    """
    asked = msgspec.msgpack.encode(_Asked(_packed(revision), _packed(against), tuple(withdrawn)))
    # -P: modules come from where the service is installed, not from the folder that it stands in.
    command = [sys.executable, "-P", "-m", __spec__.name]
    environment = {name: value for name, value in os.environ.items() if name != KEY}
    try:
        ended = subprocess.run(  # noqa: S603 (our own module, no text of a caller)
            command,
            input=asked,
            capture_output=True,
            check=True,
            timeout=PATIENCE_S,
            env=environment,
        )
    except subprocess.CalledProcessError as error:
        message = f"the report was not made: {error.stderr.decode(errors='replace')[-2000:]}"
        raise ReplayError(message) from error
    except (OSError, subprocess.TimeoutExpired) as error:
        message = f"the report was not made: {error}"
        raise ReplayError(message) from error
    report = msgspec.json.decode(ended.stdout, type=Report)
    if (report.revision, report.against, report.rules) != (revision.id, against.id, RULES_VERSION):
        message = "the report was not made: it is on other tables than those asked about"
        raise ReplayError(message)
    return report


def main() -> int:
    """Read two revisions from the input, write the report on the first against the second."""
    asked = msgspec.msgpack.decode(sys.stdin.buffer.read(), type=_Asked)
    report = report_on(_unpacked(asked.revision), _unpacked(asked.against), asked.withdrawn)
    sys.stdout.buffer.write(report_bytes(report))
    return 0


def _packed(revision: Revision) -> _Packed:
    tables = {name: table_bytes(rows) for name, rows in revision.tables.items()}
    return _Packed(revision.id, revision.manifest, tables)


def _unpacked(packed: _Packed) -> Revision:
    tables = {name: table_rows(name, content) for name, content in packed.tables.items()}
    return Revision(id=packed.id, manifest=packed.manifest, tables=tables)


if __name__ == "__main__":
    sys.exit(main())
