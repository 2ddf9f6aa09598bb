"""What a command tells, on a terminal of any width or into a file, and how it ends."""

import re
import sys
from collections.abc import Callable, Iterable, Sequence
from typing import Final, ParamSpec

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

from catalog.compiling import CompileError
from catalog.publishing import Refusal
from service.desk.refused import FAULT, DeskError
from service.office.refused import OfficeError
from service.settings import SettingsError
from service.store.sqlite.refusals import StoreError

P = ParamSpec("P")

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


class Paper(Console):
    """Console that takes no text for markup: notes, cells and paths may hold brackets."""

    def __init__(self, *, stderr: bool = False) -> None:
        super().__init__(stderr=stderr, highlight=False, markup=False, emoji=False)

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


def ended(step: Callable[P, int], *given: P.args, **named: P.kwargs) -> int:
    """Exit code of a command; everything that it is refused for is told, with what to do."""
    try:
        return step(*given, **named)
    except DeskError as error:
        return _complained(error.lines, error.code)
    except SettingsError as error:
        return _complained(error.faults)
    except OfficeError as error:
        tell_refusals(Paper(), error.refusals)
        return _complained(told_of(error))
    except CompileError as error:
        message = f"a stored revision cannot be used, {error}: see `ringwright audit verify`"
        return _complained([message])
    except StoreError as error:
        return _complained([str(error)])


def told_of(error: OfficeError) -> tuple[str, ...]:
    """Lines that tell a refusal of the office to somebody at a terminal.

    >>> told_of(OfficeError("conflict", "2 rows", errors=(("/rows/1", "`x` is no row"),)))
    ('2 rows', '--row 2: `x` is no row')
    """
    detail = error.detail
    for said, command in _OVER_HTTP:
        detail = said.sub(command, detail)
    listed = tuple(_listed(pointer, text) for pointer, text in error.errors)
    return listed if listed == (f"--row: {detail}",) else (detail, *listed)


def tell_refusals(paper: Paper, refusals: Sequence[Refusal]) -> None:
    """Tell why tables are no revision, table by table."""
    whole = [each for each in refusals if not (each.row or each.column)]
    if whole:
        lines = [(each.table or each.value, _what(each)) for each in whole]
        paper.table(("table or file", WHAT), lines)
    others = [each for each in refusals if each.row or each.column]
    for name in dict.fromkeys(each.table for each in others):
        paper.print(name, style="bold")
        cells = [_cells(each) for each in others if each.table == name]
        if paper.width >= NARROW:
            paper.table(("row", "column", "value", WHAT), cells)
            continue
        for *place, what in cells:
            paper.under(" ".join(filter(None, place)), style="bold")
            paper.under(what, indent=4)


def _cells(refusal: Refusal) -> tuple[str, ...]:
    row = refusal.row.removeprefix(f"{refusal.table}/")
    return row, refusal.column, refusal.value, _what(refusal)


def _what(refusal: Refusal) -> str:
    return f"{refusal.message} [{refusal.rule}]: {refusal.remedy}"


def _listed(pointer: str, text: str) -> str:
    field, *place = pointer.strip("/").split("/")
    number = f" {int(place[0]) + 1}" if place and place[0].isdecimal() else ""
    return f"{_OPTIONS.get(field, field)}{number}: {text}"


def _complained(lines: Iterable[str], code: int = FAULT) -> int:
    sys.stdout.flush()  # so that what went wrong stands after what went well
    sys.stderr.write("".join(f"{line}\n" for line in lines))
    return code
