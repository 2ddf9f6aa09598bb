"""The tables shipped with the package, as a revision and compiled."""

from importlib.resources import files
from importlib.resources.abc import Traversable

from catalog.compiling import compile_revision
from catalog.index import Index
from catalog.loading import BadCell, rows_from_csv
from catalog.revision import Revision, revision_of
from catalog.rows import TABLES, AnyRow


class TablesError(ValueError):
    """Tables that cannot be read; `faults` holds every bad cell."""

    def __init__(self, faults: list[BadCell]) -> None:
        super().__init__(f"{len(faults)} bad cells, the first: {faults[0]}")
        self.faults = faults


def revision_from_folder(folder: Traversable) -> Revision:
    """Revision of the CSV files of a folder, one `<table>.csv` for each table.

    Errors: `TablesError` with every bad cell and every missing file.
    """
    tables: dict[str, list[AnyRow]] = {}
    faults: list[BadCell] = []
    for name in TABLES:
        rows, bad = _table(folder.joinpath(f"{name}.csv"), name)
        tables[name] = rows
        faults += bad
    if faults:
        raise TablesError(faults)
    return revision_of(tables)


def shipped_revision() -> Revision:
    """Revision of the tables in this package."""
    return revision_from_folder(files("catalog").joinpath("tables"))


def shipped_index() -> Index:
    """Compiled index of the tables in this package."""
    return compile_revision(shipped_revision())


def _table(file: Traversable, name: str) -> tuple[list[AnyRow], list[BadCell]]:
    def refused(message: str) -> tuple[list[AnyRow], list[BadCell]]:
        return [], [BadCell(table=name, line=0, column="", value=file.name, message=message)]

    if not file.is_file():
        return refused(f"`{file.name}` is missing")
    try:
        text = file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        return refused(f"`{file.name}` is not UTF-8: {error.reason} at byte {error.start}")
    return rows_from_csv(name, text)
