"""What a workbook says before its sheets: their names, the shared texts, the formats of numbers."""

import re
from typing import Final
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import AttributesImpl

from msgspec import Struct

from catalog.loading.faults import Problem
from catalog.loading.number_formats import Shows, shows_of
from catalog.loading.package import SAVE_AGAIN, Package, WorkbookError, refused, target_of
from catalog.loading.texts import CELL_LETTERS

_TYPES: Final = "[Content_Types].xml"
# Above what all tables together hold; at a few bytes each they would else fill the memory.
_MOST_TEXTS: Final = 2_000_000
_MOST_FORMATS: Final = 65_536
_MOST_LINKS: Final = 10_000
_MOST_SHEETS: Final = 200
_ESCAPED: Final = re.compile("_x([0-9A-Fa-f]{4})_")
_LIVE: Final = frozenset({"externalLink", "connections", "externalLinkPath"})


class Sheet(Struct, frozen=True, kw_only=True):
    """A sheet of a workbook: its name, its part, and whether a person sees it."""

    name: str
    part: str
    is_hidden: bool
    is_table: bool
    """Whether it holds cells: a chart does not."""


class Parts(Struct, frozen=True, kw_only=True):
    """What the cells of a workbook refer to."""

    sheets: tuple[Sheet, ...]
    texts: list[str]
    shows: list[Shows]
    """What the cells of a style show of their numbers."""


def parts_of(package: Package) -> Parts:
    """Sheets, texts and formats of a workbook.

    Errors: `WorkbookError` where it holds macros, links to other files, or is not readable.
    """
    kinds = _Kinds()
    package.parse(_TYPES, kinds)
    _refuse_macros(kinds.found)
    book = _one(_links(package, ""), "officeDocument")
    links = _links(package, book)
    _refuse_links(links)
    listed = _Sheets()
    package.parse(book, listed)
    by_id = {link.id: link for link in links}
    texts, styles = _Texts(), _Styles()
    for kind, handler in (("sharedStrings", texts), ("styles", styles)):
        for link in links:
            if link.kind == kind:
                package.parse(link.target, handler)
    return Parts(
        sheets=tuple(_sheet(attributes, by_id) for attributes in listed.found),
        texts=texts.found,
        shows=styles.shows(),
    )


def local(name: str) -> str:
    """Name of an element or attribute without the prefix of its name space."""
    return name.rpartition(":")[2] if ":" in name else name


def unescaped(text: str) -> str:
    """Text without the escapes that workbooks write for letters that XML cannot hold."""
    if "_x" not in text:
        return text
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


class Letters:
    """Letters of one text as they come, no more than a cell may hold and one."""

    def __init__(self) -> None:
        self._pieces: list[str] = []
        self._count = 0

    def add(self, piece: str) -> None:
        """Take a piece, as far as there is room."""
        if self._count <= CELL_LETTERS:
            piece = piece[: CELL_LETTERS + 1 - self._count]
            self._pieces.append(piece)
            self._count += len(piece)

    def taken(self) -> str:
        """The text; the next one begins."""
        text = "".join(self._pieces)
        self._pieces.clear()
        self._count = 0
        return text


class _Link(Struct, frozen=True):
    id: str
    kind: str
    target: str
    is_outside: bool


class _Links(ContentHandler):
    def __init__(self, part: str) -> None:
        super().__init__()
        self._part = part
        self.found: list[_Link] = []

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        if local(name) == "Relationship":
            kind = attrs.get("Type", "").rpartition("/")[2]
            target = target_of(self._part, attrs.get("Target", ""))
            is_outside = attrs.get("TargetMode") == "External"
            self.found.append(_Link(attrs.get("Id", ""), kind, target, is_outside))
            _check_count(len(self.found), _MOST_LINKS, "links")


class _Sheets(ContentHandler):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[dict[str, str]] = []

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        if local(name) == "sheet":
            self.found.append({local(key): value for key, value in attrs.items()})
            _check_count(len(self.found), _MOST_SHEETS, "sheets")


class _Kinds(ContentHandler):
    def __init__(self) -> None:
        super().__init__()
        self.found: set[str] = set()

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        if local(name) in {"Override", "Default"}:
            self.found.add(attrs.get("ContentType", ""))
            _check_count(len(self.found), _MOST_LINKS, "kinds of part")


class _Texts(ContentHandler):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._letters = Letters()
        self._in_text = False
        self._in_reading = False

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: ARG002, N802
        match local(name):
            case "t":
                self._in_text = not self._in_reading
            case "rPh":  # how a Japanese word is read aloud: not a part of the text
                self._in_reading = True

    def characters(self, content: str) -> None:
        if self._in_text:
            self._letters.add(content)

    def endElement(self, name: str) -> None:  # noqa: N802
        match local(name):
            case "t":
                self._in_text = False
            case "rPh":
                self._in_reading = False
            case "si":
                self.found.append(unescaped(self._letters.taken()))
                _check_count(len(self.found), _MOST_TEXTS, "texts")


class _Styles(ContentHandler):
    def __init__(self) -> None:
        super().__init__()
        self._codes: dict[str, str] = {}
        self._used: list[str] = []
        self._in_cells = False

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        match local(name):
            case "numFmt":
                self._codes[attrs.get("numFmtId", "")] = attrs.get("formatCode", "")
                _check_count(len(self._codes), _MOST_FORMATS, "formats")
            case "cellXfs":
                self._in_cells = True
            case "xf" if self._in_cells:
                self._used.append(attrs.get("numFmtId", "0"))
                _check_count(len(self._used), _MOST_FORMATS, "formats")

    def endElement(self, name: str) -> None:  # noqa: N802
        if local(name) == "cellXfs":
            self._in_cells = False

    def shows(self) -> list[Shows]:
        known = {number: shows_of(number, self._codes.get(number)) for number in set(self._used)}
        return [known[number] for number in self._used]


def _check_count(count: int, most: int, what: str) -> None:
    if count > most:
        message = f"more than {most} {what} in the workbook"
        remedy = "send the tables as CSV, one by one"
        raise WorkbookError(Problem("unpacks-too-large", message, remedy))


def _links(package: Package, part: str) -> list[_Link]:
    folder, _, name = part.rpartition("/")
    rels = f"{folder}/_rels/{name}.rels" if folder else f"_rels/{name}.rels"
    handler = _Links(part)
    package.parse(rels, handler)
    return handler.found


def _one(links: list[_Link], kind: str) -> str:
    found = [link.target for link in links if link.kind == kind and not link.is_outside]
    if len(found) != 1:
        message = "not readable as a workbook: there is no workbook in it"
        raise refused(message)
    return found[0]


def _sheet(attributes: dict[str, str], by_id: dict[str, _Link]) -> Sheet:
    link = by_id.get(attributes.get("id", ""))
    if link is None:
        message = "not readable as a workbook: a sheet is listed and is not there"
        raise refused(message)
    return Sheet(
        name=attributes.get("name", ""),
        part=link.target,
        is_hidden=attributes.get("state", "visible") != "visible",
        is_table=link.kind == "worksheet",
    )


def _refuse_macros(kinds: set[str]) -> None:
    if any("macro" in kind.casefold() or "vba" in kind.casefold() for kind in kinds):
        raise WorkbookError(Problem("macros", "the workbook holds macros", SAVE_AGAIN))


def _refuse_links(links: list[_Link]) -> None:
    kinds = {link.kind for link in links}
    _refuse_macros(kinds)
    if kinds & _LIVE or any(link.is_outside for link in links):
        message = "the workbook takes values from another file or data base"
        remedy = "break the links, paste the values, and save it again"
        raise WorkbookError(Problem("external-link", message, remedy))
