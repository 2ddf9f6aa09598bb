"""What is wrong in a table: where it is, what stands there, by which rule, and what to do."""

from typing import Annotated, Any, Final, Literal

from msgspec import Struct

from catalog.loading.columns import Column
from catalog.wanted import about

BadRule = Literal[
    # the file
    "file-name",
    "file-missing",
    "file-kind",
    "unknown-table",
    "table-doubled",
    "not-utf-8",
    "unreadable",
    "separator",
    "password",
    "macros",
    "external-link",
    "unpacks-too-large",
    "too-many-rows",
    "too-many-faults",
    # the header
    "header",
    "column-missing",
    "column-doubled",
    "unit-in-column",
    # the sheet
    "hidden-sheet",
    "hidden-row",
    "hidden-column",
    "merged",
    "formula",
    "error-value",
    # the row
    "blank-row",
    "row-length",
    "not-a-row",
    # the cell
    "blank",
    "decimal-comma",
    "thousands-mark",
    "unit-in-cell",
    "not-a-number",
    "not-whole",
    "too-many-digits",
    "out-of-bounds",
    "number-format",
    "not-yes-or-no",
    "truth-value",
    "not-in-list",
    "not-a-text",
    "not-a-list",
    "list-item",
    "wrong-form",
    "too-long",
    "stray-space",
    "control-letter",
    "runs-as-formula",
    "spreadsheet-date",
    "spreadsheet-number",
]
"""Every rule by which a table is refused; a report names it, and a client may rely on it."""

_VALUE_LETTERS: Final = 200
_SHOWN_LETTERS: Final = 60
MIB: Final = 1024 * 1024


class BadCell(Struct, frozen=True, kw_only=True, gc=False):
    """One thing wrong in a table: where it is, what stands there, and what to do about it.

    `line` is the row as an office counts it in the file or sheet, the header being 1 (in JSON the
    first object is 1); 0 is the whole table or file.
    """

    table: str
    line: int
    column: str
    value: str
    rule: BadRule
    message: str
    remedy: str


class Limits(Struct, frozen=True, kw_only=True):
    """How much is read of what an office sends, and how many bad cells are told one by one."""

    rows_a_table: int = 20_000
    file_bytes: int = 16 * MIB
    """One file as it is sent, CSV or workbook."""
    unpacked_bytes: int = 64 * MIB
    """All parts of a workbook together."""
    members: int = 500
    """Parts of a workbook."""
    elements: int = 4_000_000
    """XML elements of all sheets of a workbook; a cell of text is three."""
    told: int = 1000
    """Bad cells that are told one by one; how many more there are is counted."""


class Conversion(Struct, frozen=True, kw_only=True, gc=False):
    """One cell that was sent in another unit or form: where it stood, what it said and became."""

    table: Annotated[str, about("name of the table")]
    line: Annotated[int, about("line of the file, or item of the list, from 1")]
    sent_column: Annotated[str, about("name of the column as it was sent")]
    sent: Annotated[str, about("what the cell said")]
    column: Annotated[str, about("name of the column of the table")]
    value: Annotated[float, about("what it became, in the unit of that column")]


USUAL: Final = Limits()


class Problem(Struct, frozen=True, gc=False):
    """What is wrong with a value, before it is known where the value stands."""

    rule: BadRule
    message: str
    remedy: str


class Faults:
    """Bad cells as they are found: the first are told one by one, the others counted."""

    def __init__(
        self,
        most: int,
        converted: list[Conversion] | None = None,
        exported: list[str] | None = None,
    ) -> None:
        self._most = most
        # Nothing is converted where nobody would be told of it.
        self.converted = converted
        self.exported = exported
        self._told: list[BadCell] = []
        self.count = 0

    def add(self, table: str, line: int, column: str, value: Any, problem: Problem) -> None:
        """Tell or count one."""
        self.count += 1
        if len(self._told) < self._most:
            cell = BadCell(
                table=table,
                line=line,
                column=column,
                value=plain_text(value)[:_VALUE_LETTERS],
                rule=problem.rule,
                message=problem.message,
                remedy=problem.remedy,
            )
            self._told.append(cell)

    def add_converted(self, table: str, line: int, column: Column, said: Any, value: float) -> None:
        """Tell what a cell became, where somebody is told."""
        if self.converted is not None:
            cell = Conversion(
                table=table,
                line=line,
                sent_column=column.sent_name,
                sent=plain_text(said),
                column=column.name,
                value=value,
            )
            self.converted.append(cell)

    def cells(self) -> list[BadCell]:
        """Every bad cell that is told, and last how many more there are."""
        more = self.count - len(self._told)
        if not more:
            return list(self._told)
        counted = BadCell(
            table="",
            line=0,
            column="",
            value=str(more),
            rule="too-many-faults",
            message=f"{more} more bad cells are not told one by one",
            remedy="mend these first, then check the tables again",
        )
        return [*self._told, counted]


def blank_rows(first: int, last: int) -> Problem:
    """The problem of blank rows with others below them."""
    which = f"row {first} is" if first == last else f"rows {first} to {last} are"
    return Problem(
        "blank-row",
        f"{which} blank, and others stand below",
        "delete blank rows, or fill in what is lost",
    )


def too_many_rows(limits: Limits) -> Problem:
    """The problem of a table with more rows than are taken."""
    return Problem(
        "too-many-rows",
        f"more than {limits.rows_a_table} rows",
        "delete the rows that no tube of the shop needs, or ask for a higher limit in the settings",
    )


def plain_text(value: Any) -> str:
    """Any value as a short text that a report can show."""
    if isinstance(value, str):
        # Half a letter cannot be written into any report.
        return value.encode("utf-8", "replace").decode("utf-8")
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        # Python writes no integer of more than 4300 digits.
        return str(value) if abs(value) < 10**300 else "a whole number of over 300 digits"
    if isinstance(value, float):
        return f"{value:.17g}"
    return "an object" if isinstance(value, dict) else "a list"


def shown(value: Any) -> str:
    """A value in backticks, shortened, as a message shows it."""
    text = plain_text(value)
    return f"`{text[:_SHOWN_LETTERS]}...`" if len(text) > _SHOWN_LETTERS else f"`{text}`"
