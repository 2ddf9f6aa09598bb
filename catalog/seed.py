"""The tables shipped with the package, as a revision and compiled."""

import functools
from collections.abc import Iterable
from importlib.resources import files
from importlib.resources.abc import Traversable

from catalog.compiling import compile_revision
from catalog.formulas import FORMULAS
from catalog.index import Index
from catalog.loading import BadCell, Limits
from catalog.loading.csv_text import csv_rows
from catalog.loading.faults import Faults, Problem
from catalog.loading.files import text_of
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, AnyRow, Caution, Fluid, Source

# A folder on one's own disk is one's own: no number of rows is too many.
_LIMITS = Limits(rows_a_table=1_000_000)


class TablesError(ValueError):
    """Tables that cannot be read; `faults` holds the bad cells, `count` says how many there are."""

    def __init__(self, faults: list[BadCell], count: int) -> None:
        super().__init__(f"{count} bad cells, the first: {faults[0]}")
        self.faults = faults
        self.count = count


def revision_from_folder(folder: Traversable) -> Revision:
    """Revision of the CSV files of a folder, one `<table>.csv` for each table.

    Errors: `TablesError` with every bad cell and every missing file.
    """
    return revision_of(_tables(folder, TABLES))


@functools.cache
def shipped_revision() -> Revision:
    """Revision of the tables in this package, read once."""
    return revision_from_folder(_shipped())


@functools.cache
def shipped_spares() -> tuple[Caution | Source | Fluid, ...]:
    """What revisions of older programs lack: texts, fluids, and sources of both and of formulas."""
    # The whole revision would take ten times as long, at every start.
    tables = _tables(_shipped(), ("cautions", "fluids", "sources"))
    fluids = [row for row in tables["fluids"] if isinstance(row, Fluid)]
    needed = {formula.source for formula in FORMULAS}.union(*(row.sources for row in fluids))
    sources = [row for row in tables["sources"] if isinstance(row, Source) and row.id in needed]
    cautions = [row for row in tables["cautions"] if isinstance(row, Caution)]
    return (*cautions, *fluids, *sources)


def shipped_index() -> Index:
    """Compiled index of the tables in this package."""
    return compile_revision(shipped_revision())


def _shipped() -> Traversable:
    return files("catalog").joinpath("tables")


def _tables(folder: Traversable, names: Iterable[str]) -> dict[str, list[AnyRow]]:
    faults = Faults(_LIMITS.told)
    tables: dict[str, list[AnyRow]] = {}
    for name in names:
        file = folder.joinpath(f"{name}.csv")
        if not file.is_file():
            message = f"`{file.name}` is missing"
            remedy = "put it there, with a header alone where the table has no rows"
            faults.add(name, 0, "", file.name, Problem("file-missing", message, remedy))
            continue
        text = text_of(name, file.name, file.read_bytes(), faults)
        tables[name] = [] if text is None else csv_rows(name, text, _LIMITS, faults)
    if faults.count:
        raise TablesError(faults.cells(), faults.count)
    return tables
