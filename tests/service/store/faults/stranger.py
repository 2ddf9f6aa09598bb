"""A user who may read the folder of a store but not write it: what is said, as JSON."""

import json
import os
import resource
import sys
from pathlib import Path

import sqlite_utils

from service.store.records import Key
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.sqlite.refusals import StoreError
from service.store.verifying import verified
from tests.service.store.office import SHIPPED, at, key, propose, small

NOBODY = 65534


def main(what: str, folder: Path) -> None:
    """One attempt."""
    seen = ATTEMPTS[what](folder)
    sys.stdout.write(json.dumps(seen))


def _as_stranger(folder: Path) -> dict[str, object]:
    """Open, read and change without the right to write."""
    sqlite_utils.Database(memory=True)  # what it loads the first time, a stranger may not read
    if os.geteuid() == 0:  # whom no permission binds
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    try:
        store = open_store(folder, seed=SHIPPED, at=at(0))
    except StoreError as error:
        return {"opening": str(error)}
    return {"holds": _holds(store), "changing": _change(store), "still holds": _holds(store)}


def _with_a_limit(folder: Path) -> dict[str, object]:
    """Write more than one file may hold: a full disk for those who may not mount one."""
    store = open_store(folder, seed=None, at=at(0))
    size = sum(file.stat().st_size for file in folder.iterdir())
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 8192, size + 8192))
    try:
        for number in range(10, 200):
            propose(store, small(number))
    except StoreError as error:
        refusal = str(error)
    else:
        refusal = ""
    with store.reading() as records:
        return {"refusal": refusal, "holds": _holds(store), "faults": list(verified(records))}


def _holds(store: Store) -> str:
    with store.reading() as records:
        last = records.last_activation()
        assert last is not None
        assert records.revision(last.revision) is not None
        return last.revision


def _change(store: Store) -> str:
    try:
        with store.changing() as change:
            change.add(key(change.next_number(Key)))
    except StoreError as error:
        return str(error)
    return "stored"


ATTEMPTS = {"stranger": _as_stranger, "limit": _with_a_limit}

if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
