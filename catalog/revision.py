"""A revision: a set of tables under one content address.

Each row is a line of canonical JSON (RFC 8785), each table its lines in the order of the keys with
a sha256 of its own, and the sha256 of the manifest over all tables is the id. No time, author or
parent stands inside, so the same tables have the same id wherever they are built.
"""

import hashlib
from collections.abc import Iterable, Mapping
from operator import itemgetter
from typing import Any, Final, TypeVar, cast

import msgspec
import rfc8785
from msgspec import Struct

from catalog.older import row_of_older, tables_of_older
from catalog.rows import TABLES, AnyRow, Row, canonical_line, key_of

R = TypeVar("R", bound=AnyRow)

FORMAT: Final = 3
"""Version of the canonical form that is written."""
READ_FORMATS: Final = (1, 2, FORMAT)
"""Versions that are read; rows of an older one become rows of today, the id stays that of the bytes
that were stored."""


class Manifest(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Digest of every table of a revision; its own digest is the revision's id."""

    format: int
    tables: dict[str, str]


class Revision(Struct, frozen=True, kw_only=True):
    """Tables as rows in canonical order, with the manifest and the id over them.

    Those of an older format are rows of today, while manifest and id are as they were stored.
    """

    id: str
    manifest: Manifest
    tables: dict[str, tuple[AnyRow, ...]]


class RevisionFormatError(ValueError):
    """Bytes that are no table or manifest of a format that is known here."""


def digest(content: bytes) -> str:
    """Content address of bytes."""
    return "sha256:" + hashlib.sha256(content).hexdigest()


def table_bytes(rows: Iterable[AnyRow]) -> bytes:
    """Canonical bytes of a table: one line of RFC 8785 JSON a row, in the order of the keys."""
    return b"".join(line + b"\n" for line, _ in _canonical(rows))


def row_digest(row: AnyRow) -> str:
    """Content address of a row: that of its line of canonical JSON, without the line's end."""
    return digest(_line(row))


def manifest_bytes(manifest: Manifest) -> bytes:
    """Canonical bytes of a manifest."""
    return rfc8785.dumps(msgspec.to_builtins(manifest))


def revision_of(tables: Mapping[str, Iterable[AnyRow]]) -> Revision:
    """Revision of these tables; the order of rows and of tables does not matter.

    Errors: `KeyError` for a table name that is not in `TABLES`.
    """
    if unknown := sorted(set(tables) - set(TABLES)):
        raise KeyError(*unknown)
    ordered = {name: _canonical(tables.get(name, ())) for name in TABLES}
    digests = {
        name: digest(b"".join(line + b"\n" for line, _ in lines)) for name, lines in ordered.items()
    }
    manifest = Manifest(format=FORMAT, tables=digests)
    return Revision(
        id=digest(manifest_bytes(manifest)),
        manifest=manifest,
        tables={name: tuple(row for _, row in lines) for name, lines in ordered.items()},
    )


def rows_of(revision: Revision, kind: type[R]) -> tuple[R, ...]:
    """Rows of the table that holds this kind of row."""
    return cast(tuple[R, ...], revision.tables[kind.table])


def table_rows(name: str, content: bytes, written: int = FORMAT) -> tuple[AnyRow, ...]:
    """Rows of the canonical bytes of a table: the inverse of `table_bytes`.

    `written` is the format of the bytes. Errors: `RevisionFormatError` where that is not read here,
    or a line is not a row of that table.
    """
    if written not in READ_FORMATS:
        *older, newest = map(str, READ_FORMATS)
        message = f"format {written}, known are {', '.join(older)} and {newest}"
        raise RevisionFormatError(message)
    try:
        kind = TABLES[name]
        if written == FORMAT:
            decode = msgspec.json.Decoder(kind).decode
            return tuple(decode(line) for line in content.splitlines())
        rows = [row_of_older(written, name, cells) for cells in _cells(content)]
        return _converted(name, rows)
    except (KeyError, msgspec.MsgspecError, UnicodeDecodeError) as error:
        message = f"`{name}` is not a table of format {written}: {error}"
        raise RevisionFormatError(message) from error


def tables_of(
    contents: Mapping[str, bytes], written: int = FORMAT
) -> dict[str, tuple[AnyRow, ...]]:
    """Every table of today from the canonical bytes of the tables of a revision.

    A table of a later day is empty in a revision of an older format, unless the older one says the
    same in other tables. Errors: `RevisionFormatError` as `table_rows` has it.
    """
    tables: dict[str, tuple[AnyRow, ...]] = dict.fromkeys(TABLES, ())
    tables |= {name: table_rows(name, content, written) for name, content in contents.items()}
    if written != FORMAT and "preparation" in contents:
        try:
            older = tables_of_older(_cells(contents["preparation"]))
            tables |= {name: _converted(name, rows) for name, rows in older.items()}
        except (KeyError, TypeError, msgspec.MsgspecError) as error:
            message = f"`preparation` is not a table of format {written}: {error}"
            raise RevisionFormatError(message) from error
    return tables


def _cells(content: bytes) -> list[dict[str, Any]]:
    return [msgspec.json.decode(line, type=dict) for line in content.splitlines()]


def _converted(name: str, rows: Iterable[dict[str, Any]]) -> tuple[AnyRow, ...]:
    # In the order of the keys: a renamed one has another place.
    return tuple(sorted((msgspec.convert(row, TABLES[name]) for row in rows), key=key_of))


def _canonical(rows: Iterable[AnyRow]) -> list[tuple[bytes, AnyRow]]:
    # The line is the tie-break, so that even two rows of one key have one order.
    keyed = ((key_of(row), _line(row), row) for row in rows)
    return [(line, row) for _, line, row in sorted(keyed, key=itemgetter(0, 1))]


def _line(row: AnyRow) -> bytes:
    return row.line if isinstance(row, Row) else canonical_line(row)
