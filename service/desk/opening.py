"""The store of a folder as commands open it, and the time and name that they write into it."""

import getpass
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from catalog.seed import shipped_revision
from service.current import moment
from service.desk.refused import NOT_UNDERSTOOD, DeskError
from service.settings import settings_from
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.sqlite.opening import FILE
from service.store.sqlite.refusals import StoreError

if sys.platform != "win32":
    import pwd


def data_folder(given: Path | None) -> Path:
    """Folder that a command names, else the one of the settings.

    Errors: `DeskError` where neither names one.
    """
    folder = str(given or settings_from().data)
    if not folder:
        message = "no folder is named: give --data FOLDER, or set RINGWRIGHT_DATA"
        raise DeskError(message, code=NOT_UNDERSTOOD)
    return Path(folder)


def holds_store(folder: Path) -> bool:
    """Whether a folder holds a store. Errors: `StoreError` where nobody may look."""
    try:
        return (folder / FILE).is_file()
    except OSError as error:
        message = f"`{folder}` cannot be read ({str(error.strerror).lower()}): ask for the right to"
        raise StoreError(message) from error


@contextmanager
def opened(given: Path | None) -> Iterator[Store]:
    """Store that is there already: a folder that was mistyped makes no new one.

    Errors: `DeskError`, `StoreError`.
    """
    folder = data_folder(given)
    if not holds_store(folder):
        message = (
            f"`{folder}` holds no store: name the folder that `ringwright serve --data` keeps, "
            "or start it once"
        )
        raise DeskError(message, code=NOT_UNDERSTOOD)
    store = open_store(folder, seed=None, at=moment())
    try:
        yield store
    finally:
        store.close()


@contextmanager
def made(folder: Path) -> Iterator[Store]:
    """Store of a folder, begun with the shipped tables where there is none.

    Errors: `StoreError`.
    """
    store = open_store(folder, seed=shipped_revision, at=moment())
    try:
        yield store
    finally:
        store.close()


def operator() -> str:
    """Whoever has the files of the machine, as records name them: `cli:` and their login."""
    return f"cli:{_login()}"


def _login() -> str:
    if sys.platform == "win32":
        return getpass.getuser()
    # Not from the environment, in which anybody may write another name.
    try:
        return pwd.getpwuid(os.getuid()).pw_name
    except KeyError:  # a container runs as a number without a name
        return str(os.getuid())
