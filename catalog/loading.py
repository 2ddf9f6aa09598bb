"""CSV text to typed rows, with every bad cell reported at once.

A cell is text. A list is parted by `;`, a truth is `yes` or `no`, a blank is "not said". Nothing is
guessed: a decimal comma, a thousands mark or a stray space in a number is a bad cell.
"""

import csv
import functools
import io
import re
from typing import Any, Final, get_type_hints

import msgspec
from msgspec import Struct, inspect

from catalog.rows import TABLES, AnyRow
from catalog.wanted import wanted

LIST_MARK: Final = ";"
_NUMBER: Final = re.compile(r"-?(?:0|[1-9][0-9]*)(?:[.][0-9]+)?")
_WHOLE: Final = re.compile(r"-?(?:0|[1-9][0-9]*)")
_TRUTH: Final = {"yes": True, "no": False}


class BadCell(Struct, frozen=True, kw_only=True, gc=False):
    """One thing wrong in a table: where it is, what stands there, and what should."""

    table: str
    line: int
    column: str
    value: str
    message: str


def rows_from_csv(table: str, text: str) -> tuple[list[AnyRow], list[BadCell]]:
    """Rows of one table from CSV text, and every bad cell; the header is line 1."""
    kind = TABLES[table]
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header, *body = [(reader.line_num, cells) for cells in reader] or [(1, [])]
    except csv.Error as error:
        message = f"not readable as CSV: {error}"
        return [], [
            BadCell(table=table, line=reader.line_num, column="", value="", message=message)
        ]
    names = header[1]
    faults = _header_faults(table, kind.__struct_fields__, names)
    if faults:
        return [], faults
    rows: list[AnyRow] = []
    for line, cells in body:
        row, bad = _row(table, line, names, cells)
        faults += bad
        if row is not None:
            rows.append(row)
    return rows, faults


def cell_text(value: Any) -> str:
    """Cell that says `value`: the inverse of what the loader reads."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.15g}" if value != int(value) else str(int(value))
    if isinstance(value, tuple):
        return LIST_MARK.join(value)
    return str(value)


def csv_from_rows(table: str, rows: list[AnyRow]) -> str:
    """CSV text of one table, header first, lines ended by a line feed."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    columns = TABLES[table].__struct_fields__
    writer.writerow(columns)
    writer.writerows([cell_text(getattr(row, c)) for c in columns] for row in rows)
    return out.getvalue()


def _header_faults(table: str, columns: tuple[str, ...], names: list[str]) -> list[BadCell]:
    def bad(name: str, message: str) -> BadCell:
        return BadCell(table=table, line=1, column=name, value=name, message=message)

    known = ", ".join(columns)
    return [
        *(bad(n, f"no such column: the columns are {known}") for n in names if n not in columns),
        *(bad(n, "column is missing") for n in columns if n not in names),
        *(bad(n, "column stands twice") for n in dict.fromkeys(names) if names.count(n) > 1),
    ]


def _row(
    table: str, line: int, names: list[str], cells: list[str]
) -> tuple[AnyRow | None, list[BadCell]]:
    if len(cells) != len(names):
        message = f"{len(cells)} cells under {len(names)} columns"
        value = ",".join(cells)
        return None, [BadCell(table=table, line=line, column="", value=value, message=message)]
    kind = TABLES[table]
    types = _column_types(kind)
    values: dict[str, Any] = {}
    faults: list[BadCell] = []
    for name, cell in zip(names, cells, strict=True):
        try:
            values[name] = msgspec.convert(_parsed(cell, types[name]), types[name])
        except ValueError:
            message = f"`{cell}` is not {wanted(types[name])}"
            faults.append(BadCell(table=table, line=line, column=name, value=cell, message=message))
    return (None, faults) if faults else (kind(**values), [])


@functools.cache
def _column_types(kind: type) -> dict[str, Any]:
    hints = get_type_hints(kind, include_extras=True)
    return {name: hints[name] for name in kind.__struct_fields__}  # type: ignore[attr-defined]


@functools.cache
def _cell_kinds(kind: Any) -> frozenset[type]:
    info = inspect.type_info(kind)
    parts = info.types if isinstance(info, inspect.UnionType) else (info,)
    return frozenset(type(p.type if isinstance(p, inspect.Metadata) else p) for p in parts)


def _parsed(cell: str, kind: Any) -> Any:
    """Value that the cell says, still unchecked; the text itself where it cannot be the type."""
    kinds = _cell_kinds(kind)
    if inspect.VarTupleType in kinds:
        return tuple(part.strip() for part in cell.split(LIST_MARK)) if cell else ()
    if cell == "" and inspect.NoneType in kinds:
        return None
    if inspect.FloatType in kinds:
        return float(cell) if _NUMBER.fullmatch(cell) else cell
    if inspect.IntType in kinds:
        return int(cell) if _WHOLE.fullmatch(cell) else cell
    if inspect.BoolType in kinds:
        return _TRUTH.get(cell, cell)
    return cell
