"""The embedded store: everything in one SQLite file."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from catalog.revision import Revision
from service.store.records import Activation, Proposal
from service.store.sqlite.keeping import Store
from service.store.sqlite.opening import prepared

SEEDED_BY: Final = "ringwright"


def open_store(folder: Path, *, seed: Revision | Callable[[], Revision] | None, at: str) -> Store:
    """Store in `folder/ringwright.sqlite`, made where there is none.

    A store that holds nothing yet takes `seed` as its first revision, or what it gives, active from
    `at` on; one that holds anything is left as it is. Errors: `StoreError` where the file cannot be
    used.
    """
    store = Store(prepared(folder))
    try:
        if seed is not None:
            _seed(store, seed, at)
    except BaseException:
        store.close()
        raise
    return store


def _seed(store: Store, seed: Revision | Callable[[], Revision], at: str) -> None:
    with store.reading() as records:
        if records.revisions():
            return
    first = seed() if callable(seed) else seed
    with store.changing() as change:
        if change.revisions():
            return  # another process was faster
        change.add_tables(first)
        note = "shipped tables"
        change.add(Proposal(n=1, at=at, by=SEEDED_BY, revision=first.id, base=None, note=note))
        change.add(
            Activation(
                n=1,
                at=at,
                by=SEEDED_BY,
                revision=first.id,
                previous=None,
                approval=None,
                note=note,
            )
        )
