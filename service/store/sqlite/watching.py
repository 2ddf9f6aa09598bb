"""The files of an open store, looked at by name: one that is gone or another is found at once.

An open file lives on without a name: what is written to it would be lost, and what another process
writes under the name would not be seen.
"""

import fcntl
import os
import struct
from pathlib import Path
from typing import Final

from service.store.sqlite.refusals import StoreError

_BESIDE: Final = ("-wal", "-shm")
"""Ends of the names of log and index, which lie beside a store while any process has it open."""
_SHARED_AT: Final = 0x40000002
_SHARED_BYTES: Final = 510
"""Where every connection holds a lock, by the file format; the last one to close wants it alone."""
_HOLD: Final = struct.pack("hhqqi4x", fcntl.F_RDLCK, os.SEEK_SET, _SHARED_AT, _SHARED_BYTES, 0)
"""`struct flock` of a lock that no connection may have alone, not even one of this process."""

Identity = tuple[int, int]


class BesideError(StoreError):
    """A file beside the store was lost while it was open: this process can use it no more."""


class Files:
    """Files of a store, as they are once a connection has read: from then on they stay."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._opened = _identity(file)
        real = file.resolve()  # SQLite follows a link before it names what lies beside
        self._beside = {
            name: _identity(name) for name in (real.with_name(real.name + end) for end in _BESIDE)
        }
        self._held: int | None = None
        self._holds = False

    def refuse_others(self) -> None:
        """Raise where a file is gone, or another one bears its name.

        Errors: `BesideError` for one beside the store, `StoreError` for the store, which may come
        back with what lies beside it.
        """
        self._refuse_another_store()
        for name, opened in self._beside.items():
            found = _identity(name)
            if found is None or found != opened:
                self._refuse_another_store()  # the whole folder went away between the two looks
                message = (
                    f"`{name}` {'is gone' if found is None else 'is another file than was opened'}:"
                    " stop every process that has the folder open, then start one and see in the"
                    " audit trail which of the last steps were kept"
                )
                raise BesideError(message)

    def leave_to_others(self) -> None:
        """Keep connections that close from undoing what other processes have begun anew.

        The last one writes its log back and deletes what bears the name of it, whosever that is.
        Where nobody has begun anew this is right, and saves the steps of a log without a name.

        Errors: `StoreError` where they cannot be kept from it now: then none may be closed.
        """
        if self._holds or not self._are_others():
            return
        try:
            if self._held is None:
                # Never closed: that would end every lock of this process on the file.
                self._held = os.open(self._file, os.O_RDONLY)
            fcntl.fcntl(self._held, fcntl.F_OFD_SETLK, _HOLD)
        except OSError as error:
            message = (
                f"`{self._file}` was begun anew by another process and cannot be locked "
                f"({error.strerror}): it stays open, end this process"
            )
            raise StoreError(message) from error
        self._holds = True

    def _are_others(self) -> bool:
        """Whether another file bears the name of one beside the store."""
        try:
            self._refuse_another_store()
            return any(_identity(name) not in {None, own} for name, own in self._beside.items())
        except StoreError:
            # What cannot be looked at by name SQLite takes for moved, and leaves alone by itself.
            return False

    def _refuse_another_store(self) -> None:
        found = _identity(self._file)
        if found is None:
            message = f"`{self._file}` is gone: put the folder back, then start the service anew"
            raise StoreError(message)
        if found != self._opened:
            message = f"`{self._file}` is another file than was opened: start the service anew"
            raise StoreError(message)


def _identity(name: Path) -> Identity | None:
    """What a file is, whatever it is called; None where there is none."""
    try:
        found = name.stat()
    except FileNotFoundError:
        return None
    except OSError as error:
        message = f"`{name}` cannot be looked at ({error.strerror}): see to the folder and its disk"
        raise StoreError(message) from error
    return found.st_dev, found.st_ino
