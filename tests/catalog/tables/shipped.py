"""The shipped tables as typed rows, read once."""

import functools
from pathlib import Path
from typing import TypeVar

import catalog
from catalog.loading import rows_from_csv
from catalog.rows import AnyRow

R = TypeVar("R", bound=AnyRow)

FOLDER = Path(catalog.__file__).parent / "tables"


@functools.cache
def rows(kind: type[R]) -> tuple[R, ...]:
    """Rows of one shipped table."""
    text = (FOLDER / f"{kind.table}.csv").read_text(encoding="utf-8")
    read, bad = rows_from_csv(kind.table, text)
    assert bad == []
    return tuple(row for row in read if isinstance(row, kind))
