"""The parts inside a workbook file, unpacked only as far as the limits allow.

What an office sends may be made to harm: sizes are checked as they are declared and as they are
really read, and a part with a document type or an entity of its own is refused unread.
"""

import io
import posixpath
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, Final
from xml.sax import SAXException
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import InputSource

import defusedxml.sax
from defusedxml import DefusedXmlException

from catalog.loading.faults import MIB, Limits, Problem

_ZIP: Final = b"PK\x03\x04"
_OLD_OFFICE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED: Final = "EncryptedPackage".encode("utf-16-le")
_IS_ENCRYPTED: Final = 0x1
_IS_PATCHED_OR_STRONG: Final = 0x20 | 0x40
# Deflate reaches 1032 to 1; rows of a table, however alike, stay far below this.
_MOST_TO_ONE: Final = 200
_RATIO_FROM_BYTES: Final = MIB
SAVE_AGAIN: Final = "save it again from the spreadsheet as a plain workbook (.xlsx)"


class WorkbookError(Exception):
    """A workbook that is not read; `problem` says why."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


class EnoughError(Exception):
    """Raised by a handler that wants no more of a part; nothing is wrong."""


def refused(message: str) -> WorkbookError:
    """A workbook that is not of the form that spreadsheets write."""
    return WorkbookError(Problem("unreadable", message, SAVE_AGAIN))


class Package:
    """The parts of one workbook by name; small and capital letters are one, as spreadsheets do."""

    def __init__(self, content: bytes, limits: Limits) -> None:
        _check_kind(content, limits)
        try:
            self._archive = zipfile.ZipFile(io.BytesIO(content))
        except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError) as error:
            message = "not readable as a workbook: the file is cut off or damaged"
            raise refused(message) from error
        self._limit = limits.unpacked_bytes
        self.elements_left = limits.elements
        self._read = 0
        members = self._archive.infolist()
        _check_members(members, limits)
        self._members = {member.filename.casefold(): member for member in members}
        if len(self._members) != len(members):
            message = "not readable as a workbook: a part stands in it twice"
            raise refused(message)

    def has(self, name: str) -> bool:
        """Whether the part is there."""
        return name.casefold() in self._members

    def parse(self, name: str, handler: ContentHandler) -> None:
        """Give one part to a handler, piece by piece.

        Errors: `WorkbookError` where it is not there, not XML, or unpacks to more than the limit.
        """
        with _told_damage(name):
            if not self.has(name):
                message = f"not readable as a workbook: the part `{name[:80]}` is missing"
                raise refused(message)
            with self._archive.open(self._members[name.casefold()]) as part:
                source = InputSource()
                source.setByteStream(_Metered(part, self))
                # Spreadsheets write UTF-8; what a part declares for itself is not believed.
                source.setEncoding("utf-8")
                defusedxml.sax.parse(source, handler, forbid_dtd=True)

    def metered(self, piece: bytes) -> bytes:
        """The piece, counted.

        Errors: `WorkbookError` where more has been read by now than the limit.
        """
        self._read += len(piece)
        if self._read > self._limit:
            raise WorkbookError(too_large(self._limit))
        return piece


class _Metered:
    """A part of which every piece read is counted: what a file declares may be a lie."""

    def __init__(self, part: IO[bytes], package: Package) -> None:
        self._part = part
        self._package = package

    def read(self, size: int = -1) -> bytes:
        return self._package.metered(self._part.read(size))

    def close(self) -> None:
        self._part.close()


def target_of(part: str, target: str) -> str:
    """Name of the part that a part names as a target.

    >>> target_of("xl/workbook.xml", "worksheets/sheet1.xml"), target_of("xl/a.xml", "/xl/b.xml")
    ('xl/worksheets/sheet1.xml', 'xl/b.xml')
    """
    joined = posixpath.join("/", posixpath.dirname(part), target)
    return posixpath.normpath(joined).lstrip("/")


def too_large(limit: int) -> Problem:
    """The problem of a file that unpacks to more than is read."""
    return Problem(
        "unpacks-too-large",
        f"unpacks to more than {limit / MIB:.3g} MiB",
        "delete pictures, formats and unused rows, or send the tables as CSV, one by one",
    )


def _check_kind(content: bytes, limits: Limits) -> None:
    if content.startswith(_OLD_OFFICE):
        if _ENCRYPTED in content:
            message = "the workbook is protected by a password"
            remedy = "take the password off and save it again as .xlsx"
            raise WorkbookError(Problem("password", message, remedy))
        message = "the file is an old workbook (.xls), or protected by a password"
        raise refused(message)
    if not content.startswith(_ZIP):
        message = "the file is no workbook (.xlsx)"
        raise refused(message)
    if len(content) > limits.file_bytes:
        message = f"{len(content) / MIB:.3g} MiB, limit {limits.file_bytes / MIB:.3g} MiB"
        remedy = "delete pictures and unused rows, or send the tables as CSV, one by one"
        raise WorkbookError(Problem("unpacks-too-large", message, remedy))


def _check_members(members: list[zipfile.ZipInfo], limits: Limits) -> None:
    if len(members) > limits.members:
        message = f"{len(members)} parts in the workbook, limit {limits.members}"
        remedy = "send a workbook with the sheets of the tables alone"
        raise WorkbookError(Problem("unpacks-too-large", message, remedy))
    if sum(member.file_size for member in members) > limits.unpacked_bytes:
        raise WorkbookError(too_large(limits.unpacked_bytes))
    for member in members:
        if member.flag_bits & _IS_ENCRYPTED:
            message = "a part of the workbook is protected by a password"
            remedy = "take the password off and save it again as .xlsx"
            raise WorkbookError(Problem("password", message, remedy))
        plain = member.compress_type in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}
        if not plain or member.flag_bits & _IS_PATCHED_OR_STRONG:
            message = "not readable as a workbook: packed in a way that no spreadsheet uses"
            raise refused(message)
        ratio = member.file_size / max(member.compress_size, 1)
        if member.file_size > _RATIO_FROM_BYTES and ratio > _MOST_TO_ONE:
            message = (
                f"a part unpacks to {ratio:.0f} times its size, limit {_MOST_TO_ONE} times:"
                " no table does"
            )
            raise WorkbookError(Problem("unpacks-too-large", message, SAVE_AGAIN))


@contextmanager
def _told_damage(name: str) -> Iterator[None]:
    try:
        yield
    except EnoughError:
        return
    except DefusedXmlException as error:
        message = f"the part `{name[:80]}` declares a document type or entities of its own"
        raise refused(message) from error
    except (SAXException, zipfile.BadZipFile, zlib.error, EOFError, OSError) as error:
        message = f"not readable as a workbook: the part `{name[:80]}` is damaged"
        raise refused(message) from error
