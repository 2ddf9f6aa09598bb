"""A store's files as a loss of power leaves them, damaged at random, and what may then be read."""

import random
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any, Final, Literal

from msgspec import Struct

from catalog.revision import revision_of
from service.store.records import AuditEntry
from service.store.sqlite import open_store
from service.store.sqlite.opening import FILE
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreError
from tests.service.store.office import at, live_a_year, publish, small

WAL: Final = FILE + "-wal"
LISTS: Final = (
    "audit",
    "proposals",
    "reports",
    "approvals",
    "activations",
    "withdrawals",
    "keys",
    "revocations",
    "revisions",
)
WrittenBack = Literal["nothing", "half", "everything"]
Outcome = Literal["all", "earlier", "refused"]


class Truth(Struct, frozen=True):
    """Files of a store that nobody closed, what was stored in it, and after which steps it was."""

    folder: Path
    lists: dict[str, tuple[Any, ...]]
    commits: frozenset[int]


def truth(folder: Path, written_back: WrittenBack) -> Truth:
    """A year of publishing, all of it in the log; so much of it is in the file itself as well."""
    own, kept = folder / "own", folder / "kept"
    with closing(open_store(own, seed=small(9), at=at(0))) as store, ExitStack() as stack:
        _checkpoint(own, "TRUNCATE")
        publish(store, small(8))
        if written_back == "half":
            # Enough for several pages of tables, of which the year changes only some.
            for number in range(10, 22):
                publish(store, small(number))
            # A checkpoint stops at what the oldest reader reads.
            stack.enter_context(store.reading())
        live_a_year(store)
        if written_back != "nothing":
            _checkpoint(own, "PASSIVE")
        kept.mkdir()
        for name in (FILE, WAL):
            shutil.copy(own / name, kept / name)
        with store.reading() as records:
            lists = {name: getattr(records, name)() for name in LISTS}
    return Truth(folder=kept, lists=lists, commits=_commits(lists["audit"]))


def _checkpoint(folder: Path, kind: str) -> None:
    with closing(sqlite3.connect(folder / FILE)) as connection:
        connection.execute(f"PRAGMA wal_checkpoint({kind})")


def _commits(entries: tuple[AuditEntry, ...]) -> frozenset[int]:
    """Entries that were the last of their change, from what `office` puts into one change."""
    first_withdrawal = next(entry.n for entry in entries if entry.action == "withdraw")
    inside = {1, first_withdrawal}  # 1: the seed's proposal
    inside |= {entry.n for entry in entries if entry.action in {"report", "make-key"}}
    return frozenset(entry.n for entry in entries if entry.n not in inside)


def damage(file: Path, chance: random.Random) -> str:
    """Cut a file, flip bits in a byte of it, or lose a sector; what was done."""
    content = bytearray(file.read_bytes())
    place = chance.randrange(len(content))
    kind = chance.choice(("cut", "flip", "flip", "sector"))
    if kind == "cut":
        del content[place:]
    elif kind == "flip":
        content[place] ^= chance.randrange(1, 256)
    else:
        place -= place % 512
        content[place : place + 512] = bytes(len(content[place : place + 512]))
    file.write_bytes(content)
    return f"{kind} at {place}"


def outcome(folder: Path, truth: Truth) -> Outcome:
    """What a store says after damage: all that was stored, what was at an earlier commit, nothing.

    Errors: `AssertionError` for any answer that was never right, `StoreError` is a refusal.
    """
    try:
        store = open_store(folder, seed=None, at=at(0))
    except StoreError:
        return "refused"
    with closing(store), store.reading() as records:
        told = {verb: _answer(getattr(records, verb)) for verb in LISTS}
        for verb, answer in told.items():
            if answer is not None:
                assert answer == truth.lists[verb][: len(answer)], verb
        refused = None in told.values() or not _last_is_right(records, truth)
        for revision in told["revisions"] or ():
            refused |= not _tables_are_right(records, revision)
    entries = told["audit"]
    if entries is None or refused:
        return "refused"
    assert len(entries) in truth.commits, "half a change"
    return "all" if entries == truth.lists["audit"] else "earlier"


def _answer(verb: Callable[[], tuple[Any, ...]]) -> tuple[Any, ...] | None:
    try:
        return verb()
    except StoreError:
        return None


def _last_is_right(records: Records, truth: Truth) -> bool:
    """Whether the last activation is told; it must be the last of those that the trail tells of."""
    try:
        last = records.last_activation()
        told = sum(entry.action == "activate" for entry in records.audit())
    except StoreError:
        return False
    assert last == truth.lists["activations"][told - 1]
    return True


def _tables_are_right(records: Records, revision: str) -> bool:
    try:
        tables = records.revision(revision)
    except StoreError:
        return False
    assert tables is not None
    assert revision_of(tables.tables).id == revision
    return True
