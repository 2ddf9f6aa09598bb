"""What a command tells, on a terminal of any width or into a file, and how it ends."""

import re
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Final, ParamSpec

import msgspec
from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from catalog.compiling import CompileError
from catalog.impact import Progress, untold
from catalog.publishing import Refusal
from service.office.refused import OfficeError
from service.settings import SettingsError
from service.store.sqlite.refusals import StoreError

P = ParamSpec("P")

FAULT: Final = 1
NOT_UNDERSTOOD: Final = 2
_OVER_HTTP: Final = (
    (re.compile(r"read GET /v1/active"), "look at `ringwright catalog revisions`"),
    (re.compile(r"see GET /v1/revisions for"), "see `ringwright catalog revisions` for"),
    (re.compile(r"read GET /v1/revisions/\S+/report"), "read `ringwright catalog report`"),
)
"""What the office says to callers over HTTP, and the command that does the same."""
NARROW: Final = 70
"""Columns below which a table of refusals becomes a list."""
WHAT: Final = "what is wrong, what to do"

_OPTIONS: Final = {"rows": "--row", "acknowledged": "--acknowledge"}


class DeskError(Exception):
    """A command that is refused, told in lines; nothing of it was done."""

    def __init__(self, *lines: str, code: int = FAULT) -> None:
        super().__init__("; ".join(lines))
        self.lines = lines
        self.code = code


class Paper(Console):
    """Console that takes no text for markup: notes, cells and paths may hold brackets."""

    def __init__(self, *, stderr: bool = False, width: int | None = None) -> None:
        super().__init__(stderr=stderr, width=width, highlight=False, markup=False, emoji=False)

    def on_broken_pipe(self) -> None:
        """Leave it to `main`, as every other broken pipe."""
        raise BrokenPipeError

    def whole(self, text: str, *, style: str | None = None) -> None:
        """Print what is to be copied: it is never broken to the width."""
        self.print(text, style=style, soft_wrap=True)

    def under(self, text: str, *, indent: int = 2, style: str | None = None) -> None:
        """Print text that is broken to the width, all of its lines indented."""
        self.print(Padding(text, (0, 0, 0, indent)), style=style)

    def table(self, heads: Sequence[str], lines: Iterable[Sequence[str]]) -> None:
        """Print a table; what is too wide for its column goes on in the next line."""
        table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
        for head in heads:
            table.add_column(head, overflow="fold", vertical="top")
        for line in lines:
            table.add_row(*line)
        self.print(table)


def tell_json(value: object) -> None:
    """Tell JSON to a program."""
    sys.stdout.write(msgspec.json.format(msgspec.json.encode(value)).decode() + "\n")


@contextmanager
def replaying() -> Iterator[Progress]:
    """What to tell of a replay while the block runs; nothing where nobody looks.

    On the error stream, so that the output may go into a file and the bar does not.
    """
    paper = Paper(stderr=True)
    if not paper.is_terminal:
        yield untold
        return
    from rich import progress

    columns = (
        progress.TextColumn("replaying what the tables can answer"),
        progress.BarColumn(bar_width=20),
        progress.MofNCompleteColumn(),
        progress.TimeRemainingColumn(),
    )
    with progress.Progress(*columns, console=paper, transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda done, of: bar.update(task, completed=done, total=of)


def ended(step: Callable[P, int], *given: P.args, **named: P.kwargs) -> int:
    """Exit code of a command; everything that it is refused for is told, with what to do."""
    lines: Iterable[str]
    try:
        return step(*given, **named)
    except DeskError as error:
        lines, code = error.lines, error.code
    except SettingsError as error:
        lines, code = error.faults, FAULT
    except OfficeError as error:
        tell_refusals(Paper(), error.refusals)
        lines, code = told_of(error), FAULT
    except CompileError as error:
        told = f"a stored revision cannot be used, {error}: see `ringwright audit verify`"
        lines, code = [told], FAULT
    except StoreError as error:
        lines, code = [str(error)], FAULT
    sys.stdout.flush()  # so that what went wrong stands after what went well
    sys.stderr.write("".join(f"{line}\n" for line in lines))
    return code


def told_of(error: OfficeError) -> tuple[str, ...]:
    """Lines that tell a refusal of the office to somebody at a terminal.

    >>> told_of(OfficeError("conflict", "2 rows", errors=(("/rows/1", "`x` is no row"),)))
    ('2 rows', '--row 2: `x` is no row')
    """
    detail = error.detail
    for said, command in _OVER_HTTP:
        detail = said.sub(command, detail)
    listed = []
    for pointer, text in error.errors:
        field, *place = pointer.strip("/").split("/")
        number = f" {int(place[0]) + 1}" if place and place[0].isdecimal() else ""
        listed.append(f"{_OPTIONS.get(field, field)}{number}: {text}")
    return tuple(listed) if listed == [f"--row: {detail}"] else (detail, *listed)


def tell_refusals(paper: Paper, refusals: Sequence[Refusal]) -> None:
    """Tell why tables are no revision, table by table."""
    tables: dict[str, list[tuple[str, ...]]] = {}
    whole = []
    for each in refusals:
        what = f"{each.message} [{each.rule}]: {each.remedy}"
        if each.row or each.column:
            row = each.row.removeprefix(f"{each.table}/")
            tables.setdefault(each.table, []).append((row, each.column, each.value, what))
        else:
            whole.append((each.table or each.value, what))
    if whole:
        paper.table(("table or file", WHAT), whole)
    for name, cells in tables.items():
        paper.print(name, style="bold")
        if paper.width >= NARROW:
            paper.table(("row", "column", "value", WHAT), cells)
            continue
        for *place, what in cells:
            paper.under(" ".join(filter(None, place)), style="bold")
            paper.under(what, indent=4)
