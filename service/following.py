"""Follow the active revision of a store: compile it once, swap one reference, keep the last good.

Nothing runs in the background: a request asks the store whether anything was committed since,
unless one has asked in the last 5 ms. So an activation, a withdrawal or a revoked key holds at once
in the process that has committed it, and within 5 ms in every other of this machine. Where the
store cannot be read, what was read last answers as stale, for a while.
"""

import asyncio
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Mapping
from typing import Final

from msgspec import Struct, structs

from catalog.answers.remembered import forget
from catalog.compiling import CompileError, compile_revision
from catalog.index import Index
from catalog.revision import Revision
from catalog.rows import AnyRow
from catalog.seed import shipped_spares
from catalog.withdrawing import WithdrawnRow, by_ref
from service.current import Current, Health, Reading, Today, utc_today
from service.edge.access import Keyring, keyring_of
from service.office.standing import AllWithdrawn, all_withdrawn, standing_of
from service.settings import Settings
from service.store.records import Activation, Withdrawal
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreError

KEPT_INDEXES: Final = 8
"""Compiled indexes that are kept for pinned revisions."""
RETRY_S: Final = 1.0
"""Seconds after a failure before the store is read again."""


class Followed(Reading, frozen=True, kw_only=True):
    """A reading with what the store said then, so that a pinned revision stands at one moment."""

    active: str
    activated: frozenset[str]
    withdrawn: AllWithdrawn
    pinned: dict[str, tuple["Compiled", Index]]


class Compiled(Struct, frozen=True):
    """The index of a revision, with no standing yet, and its rows by name."""

    index: Index
    rows: Mapping[str, AnyRow]


class Following(Current):
    """Follows a store.

    Errors of making one: `StoreError`, `CompileError`: then nothing can be served.
    """

    def __init__(
        self,
        store: Store,
        today: Today = utc_today,
        steady_s: Callable[[], float] = time.monotonic,
        max_stale_s: float = Settings().max_stale_seconds,
        within_s: float = 0.0,
    ) -> None:
        self.store = store
        self.today = today
        self.steady_s = steady_s
        self.max_stale_s = max_stale_s
        self.within_s = within_s
        self._compiled: OrderedDict[str, Compiled] = OrderedDict()
        self._withdrawn: dict[Withdrawal, WithdrawnRow] = {}
        """What each withdrawal of the store withdraws today; no more of them than it holds."""
        self._cache = threading.Lock()
        self._swap = asyncio.Lock()
        self._failed_s = float("-inf")
        self.version = store.version()
        self._last: tuple[Compiled, tuple[Activation, ...]] | None = None
        self.active = (0, "")
        self.followed, self.keyring, self.error = self._read()
        self.read_s = steady_s()

    async def latest(self) -> Reading:
        """Reading of this moment; the last good one, as stale, where not all of it can be read."""
        try:
            version = self.store.version(self.within_s)
        except StoreError as error:
            self._note(error)
        else:
            if self._due(version):
                await self._follow(version)
            elif not self.error:
                self.read_s = self.steady_s()
        return self._stale() if self.error else self.followed

    def _stale(self) -> Followed:
        """What was followed last, every standing marked, and refusing questions once it is too old.

        Its age counts from the last time that all of it was read, not from the first time that it
        was not: what was withdrawn, revoked or activated in between went unseen.
        """
        last, outdated = self.followed, ""
        if self.steady_s() - self.read_s > self.max_stale_s:
            outdated = (
                f"what is active could not be read for {self.max_stale_s:g} s, so no question is"
                " answered: ask again, and tell whoever runs the service to look at /health/ready"
            )
        standing = structs.replace(last.index.standing, stale=True)
        index = structs.replace(last.index, standing=standing)
        return structs.replace(last, index=index, pinned={}, outdated=outdated)

    def _due(self, version: int) -> bool:
        """Whether the store must be read again before this request is answered."""
        # INVARIANT: what was committed is followed at once, also while something is broken: a
        # withdrawal or a revoked key must not wait for the next try, nor for a cache to be warm.
        if version != self.version:
            return True
        return bool(self.error) and self.steady_s() - self._failed_s >= RETRY_S

    async def _follow(self, version: int) -> None:
        async with self._swap:
            if not self._due(version):
                return  # another request has done it while this one waited
            try:
                followed, keyring, fault = await asyncio.to_thread(self._read)
            except StoreError as error:
                self.version = version
                self._note(error)
                return
            if followed.index.revision != self.followed.index.revision:
                forget()
            self.followed, self.keyring = followed, keyring
            # What was committed after `version` was asked differs from it, and is read next time.
            self.version, self.error = version, fault
            if fault:
                self._failed_s = self.steady_s()
            else:
                self.read_s = self.steady_s()

    def _note(self, error: Exception) -> None:
        self.error, self._failed_s = str(error), self.steady_s()

    def _read(self) -> tuple[Followed, Keyring, str]:
        """What the store says now, and why the active revision cannot be used, if it cannot.

        Withdrawals and keys come first, and are followed even then: they must hold whatever else
        is broken.
        """
        with self.store.reading() as records:
            withdrawn = all_withdrawn(records, self._withdrawn)
            keyring = keyring_of(records.keys(), records.revocations())
            fault = ""
            try:
                activations = _activations(records)
                self.active = (activations[-1].n, activations[-1].revision)
                compiled = self._active(records, activations[-1].revision)
            except (StoreError, CompileError) as error:
                if self._last is None:
                    raise
                compiled, activations = self._last
                fault = str(error)
            else:
                self._last = compiled, activations
        return _followed(compiled, self.active[1], activations, withdrawn), keyring, fault

    def _active(self, records: Records, revision: str) -> Compiled:
        kept = self._kept(revision)
        if kept is not None:
            return kept
        tables = records.revision(revision)
        if tables is None:
            message = f"`{revision}` is active, but its tables are not stored"
            raise StoreError(message)
        return self._compile(tables)

    async def pinned(self, reading: Reading, revision: str) -> Index | None:
        """Index of a stored revision with its standing at a reading, None where there is none.

        Errors: `StoreDamagedError` where its tables are not what was stored.
        """
        if revision == reading.index.revision or not isinstance(reading, Followed):
            return await super().pinned(reading, revision)
        compiled = self._kept(revision)
        if compiled is None:
            compiled = await asyncio.to_thread(self._stored, revision)
        if compiled is None:
            return None
        known = reading.pinned.get(revision)
        if known is None or known[0] is not compiled:
            standing = standing_of(
                revision,
                compiled.rows,
                reading.active,
                reading.activated,
                reading.withdrawn,
            )
            standing = structs.replace(standing, stale=reading.index.standing.stale)
            known = compiled, structs.replace(compiled.index, standing=standing)
            # One reading is one moment: what a revision stands at does not change within it.
            reading.pinned[revision] = known
        return known[1]

    def _stored(self, revision: str) -> Compiled | None:
        with self.store.reading() as records:
            tables = records.revision(revision)
        return None if tables is None else self._compile(tables)

    def _kept(self, revision: str) -> Compiled | None:
        with self._cache:
            found = self._compiled.get(revision)
            if found is not None:
                self._compiled.move_to_end(revision)
            return found

    def _compile(self, tables: Revision) -> Compiled:
        compiled = Compiled(compile_revision(tables, shipped_spares()), by_ref(tables))
        with self._cache:
            self._compiled[tables.id] = compiled
            while len(self._compiled) > KEPT_INDEXES:
                self._compiled.popitem(last=False)
                forget()  # what is remembered would keep it alive
        return compiled

    def health(self) -> Health:
        """What is followed against what is active, how old that is, and the last error."""
        followed, (activation, revision) = self.followed, self.active
        return Health(
            ready=not self.error,
            revision=followed.index.revision,
            activation=followed.activation,
            active_revision=revision,
            active_activation=activation,
            seconds_since_read=round(self.steady_s() - self.read_s, 3),
            last_error=self.error,
        )


def _activations(records: Records) -> tuple[Activation, ...]:
    found = records.activations()
    if not found:
        message = "no revision is active: start the service on a new folder"
        raise StoreError(message)
    return found


def _followed(
    compiled: Compiled,
    active: str,
    activations: tuple[Activation, ...],
    withdrawn: AllWithdrawn,
) -> Followed:
    """Reading of a moment; what answers is the active revision, or the last one that was good."""
    answering = compiled.index.revision
    activated = frozenset(each.revision for each in activations)
    number = max(each.n for each in activations if each.revision == answering)
    standing = standing_of(answering, compiled.rows, active, activated, withdrawn)
    return Followed(
        index=structs.replace(compiled.index, standing=standing),
        activation=number,
        active=active,
        activated=activated,
        withdrawn=withdrawn,
        pinned={},
    )
