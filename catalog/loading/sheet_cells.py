"""The rows of one sheet as they stand in the file, cell by cell, with what hides or joins them."""

import re
from functools import lru_cache
from typing import Final, Literal
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import AttributesImpl

from msgspec import Struct

from catalog.loading.faults import Problem
from catalog.loading.number_formats import Shows
from catalog.loading.package import WorkbookError, refused
from catalog.loading.parts import Letters, Parts, local, unescaped

CellKind = Literal["text", "number", "truth", "error", "formula", "date"]

_ADDRESS: Final = re.compile("([A-Z]{1,3})([1-9][0-9]{0,6})")
_MOST_COLUMNS: Final = 16_384
_MOST_ROWS: Final = 1_048_576
_TOO_MANY: Final = Problem(
    "unpacks-too-large",
    "more cells in the workbook than all tables have",
    "delete the rows and columns that hold only formats, or send the tables as CSV, one by one",
)


class Cell(Struct, frozen=True, gc=False):
    """One cell: what kind of thing stands in it, its text as stored, what its format shows."""

    kind: CellKind
    text: str
    shows: Shows = ""


class RowTaker:
    """What takes the rows of a sheet as they are read, and here leaves them."""

    def hidden_columns(self, first: int, last: int) -> None:
        """Columns that are not seen, before any row."""

    def row(self, number: int, cells: dict[int, Cell], *, is_hidden: bool) -> None:
        """One row, its cells by the number of the column; blank cells are not there."""

    def merged(self, area: str) -> None:
        """Cells that are joined to one, after the last row."""


class SheetCells(ContentHandler):
    """Reads a sheet and gives its rows on, one at a time, so that no sheet fills the memory."""

    def __init__(self, parts: Parts, taker: RowTaker, elements_left: int) -> None:
        super().__init__()
        self.elements_left = elements_left
        self._parts = parts
        self._taker = taker
        self._all_hidden = False
        self._in_rows = False
        self._row = 0
        self._row_hidden = False
        self._cells: dict[int, Cell] | None = None
        self._column = 0
        self._attributes: AttributesImpl | None = None
        self._letters = Letters()
        self._formula = Letters()
        self._has_formula = False
        self._into: Letters | None = None
        self._in_reading = False

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        """An element begins: a row, a cell, or what stands in one."""
        self.elements_left -= 1
        if self.elements_left < 0:
            raise WorkbookError(_TOO_MANY)
        part = local(name)
        if self._attributes is not None:
            self._start_in_cell(part)
        elif self._cells is not None:
            if part == "c":
                self._start_cell(attrs)
        elif self._in_rows:
            if part == "row":
                self._start_row(attrs)
        else:
            self._start_beside(part, attrs)

    def _start_beside(self, part: str, attrs: AttributesImpl) -> None:
        match part:
            case "sheetData":
                self._in_rows = True
            case "sheetFormatPr":
                self._all_hidden = attrs.get("zeroHeight") in {"1", "true"}
            case "col" if _hides(attrs, "width"):
                self._taker.hidden_columns(_whole(attrs.get("min")), _whole(attrs.get("max")))
            case "mergeCell":
                self._taker.merged(attrs.get("ref", "")[:30])

    def _start_row(self, attrs: AttributesImpl) -> None:
        number = _whole(attrs.get("r")) if "r" in attrs else self._row + 1
        if not self._row < number <= _MOST_ROWS:
            message = f"not readable as a workbook: row {number} stands after row {self._row}"
            raise refused(message)
        self._row = number
        unsaid = self._all_hidden and "hidden" not in attrs
        self._row_hidden = unsaid or _hides(attrs, "ht")
        self._cells = {}
        self._column = 0

    def _start_cell(self, attrs: AttributesImpl) -> None:
        self._attributes = attrs
        self._has_formula = False
        address = attrs.get("r")
        if address is None:
            self._column += 1
        else:
            found = _ADDRESS.fullmatch(address)
            self._column = column_number(found[1]) if found else 0
            if found is None or int(found[2]) != self._row:
                message = f"not readable as a workbook: `{address[:20]}` in row {self._row}"
                raise refused(message)
        if self._column > _MOST_COLUMNS:
            message = f"not readable as a workbook: more than {_MOST_COLUMNS} columns"
            raise refused(message)

    def _start_in_cell(self, part: str) -> None:
        match part:
            case "v":
                self._into = self._letters
            case "t":
                self._into = None if self._in_reading else self._letters
            case "f":
                self._into = self._formula
                self._has_formula = True
            case "rPh":
                self._in_reading = True

    def characters(self, content: str) -> None:
        """Letters of a value or a formula."""
        if self._into is not None:
            self._into.add(content)

    def endElement(self, name: str) -> None:  # noqa: N802
        """An element ends: a whole row is given on."""
        part = local(name)
        if self._attributes is not None:
            self._into = None
            if part == "rPh":
                self._in_reading = False
            elif part == "c":
                self._end_cell(self._attributes)
        elif part == "row" and self._cells is not None:
            cells, self._cells = self._cells, None
            self._taker.row(self._row, cells, is_hidden=self._row_hidden)
        elif part == "sheetData":
            self._in_rows = False

    def _end_cell(self, attrs: AttributesImpl) -> None:
        self._attributes = None
        self._in_reading = False
        cell = self._cell(attrs, self._letters.taken(), self._formula.taken())
        if cell is not None and self._cells is not None:
            if self._column in self._cells:
                message = f"not readable as a workbook: two cells in one place in row {self._row}"
                raise refused(message)
            self._cells[self._column] = cell

    def _cell(self, attrs: AttributesImpl, text: str, formula: str) -> Cell | None:
        if self._has_formula:
            return Cell("formula", "=" + formula)
        kind = attrs.get("t", "n")
        if kind in {"s", "str", "inlineStr"}:
            text = self._shared(text) if kind == "s" and text else text
            text = text if kind == "s" else unescaped(text)
            return Cell("text", text) if text else None
        text = text.strip()
        if not text:
            return None
        match kind:
            case "b":
                return Cell("truth", "yes" if text == "1" else "no")
            case "e":
                return Cell("error", text)
            case "d":
                return Cell("date", text)
        style = _whole(attrs.get("s", "0"))
        shows = self._parts.shows[style] if style < len(self._parts.shows) else ""
        return Cell("date" if shows == "date" else "number", text, shows)

    def _shared(self, text: str) -> str:
        at = _whole(text.strip())
        if at >= len(self._parts.texts):
            message = f"not readable as a workbook: a text of row {self._row} is not there"
            raise refused(message)
        return self._parts.texts[at]


@lru_cache(maxsize=512)
def column_number(letters: str) -> int:
    """Number of a column that a sheet names by letters: A is 1, AA is 27."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def column_letters(number: int) -> str:
    """Letters of a column by its number.

    >>> column_letters(1), column_letters(27), column_number("AA")
    ('A', 'AA', 27)
    """
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _hides(attrs: AttributesImpl, size: str) -> bool:
    """Whether a row or column is hidden, or is drawn with no size at all."""
    drawn = attrs.get(size)
    return attrs.get("hidden") in {"1", "true"} or (drawn is not None and not drawn.strip("0."))


def _whole(text: str | None) -> int:
    if text is None or not text.isascii() or not text.isdecimal() or len(text) > 9:
        message = "not readable as a workbook: a number of a row, column or text is none"
        raise refused(message)
    return int(text)
