"""The shipped tables as typed rows, read once."""

import functools
from pathlib import Path
from typing import TypeVar

import catalog
from catalog.loading import rows_from_csv
from catalog.rows import AnyRow

R = TypeVar("R", bound=AnyRow)

FOLDER = Path(catalog.__file__).parent / "tables"


def rows(kind: type[R]) -> tuple[R, ...]:
    """Rows of one shipped table."""
    return tuple(row for row in _read(kind.table) if isinstance(row, kind))


@functools.cache
def _read(table: str) -> tuple[AnyRow, ...]:
    read, bad = rows_from_csv(table, (FOLDER / f"{table}.csv").read_text(encoding="utf-8"))
    assert bad == []
    return tuple(read)
