"""Who may come in, and how often: looked at before a byte of the body is read."""

import asyncio
import functools
import ipaddress
import math
import time
from collections.abc import Awaitable, Callable
from typing import Final

from litestar.types import HTTPScope
from msgspec import Struct

from service.edge.access import Caller, Keyring, bad_key, caller_of, still_held, told_id
from service.edge.doors import Door
from service.edge.log import Log
from service.edge.problems import ProblemError
from service.settings import Settings

BURST: Final = 4
"""Seconds' worth of requests that may come at once."""
FAILURES_FREE: Final = 5
"""Failures of one address that are answered at once: keys are mistyped."""
FAILURES_MOST: Final = 30
"""Failures from which on an address is told to wait instead of being answered."""
FAILURE_FORGOTTEN_S: Final = 10.0
"""Seconds after which one failure of an address is forgotten."""
LONGEST_WAIT_S: Final = 2.0
MOST_KEPT: Final = 4096
"""Buckets that are kept; whoever has not asked for longest is forgotten, and starts full."""

_FIRST_WAIT_S: Final = 0.1
_NO_RIGHT_KEY: Final = "without a right key from this address"


class Clock(Struct, frozen=True):
    """Time as the guard reads it: of the day, for keys that expire, and one that never goes back.

    `pause` waits.
    """

    epoch_s: Callable[[], float] = time.time
    steady_s: Callable[[], float] = time.monotonic
    pause: Callable[[float], Awaitable[None]] = asyncio.sleep


SYSTEM: Final = Clock()


class Throttle:
    """Buckets of `burst` tokens that fill up at `per_second`; 0 a second is no limit.

    A bucket is kept as the moment at which it is full again, which is all that there is to know.
    """

    def __init__(self, per_second: float, burst: float, most_kept: int = MOST_KEPT) -> None:
        self.burst = burst
        self.interval_s = 1 / per_second if per_second else 0.0
        self.depth_s = burst * self.interval_s
        self.most_kept = most_kept
        self.full_at: dict[str, float] = {}

    def take(self, who: str, now_s: float) -> float:
        """Take a token: 0 where there was one, else the seconds until there is; nothing is taken.

        `now_s` is of a clock that never goes back.
        """
        if not self.interval_s:
            return 0.0
        # Taken out and put in again, so that the order of the table is the order of the asking.
        full_at = max(self.full_at.pop(who, now_s), now_s)
        wait_s = full_at + self.interval_s - now_s - self.depth_s
        if wait_s <= 1e-9:  # the same sum in another order may differ in its last digit
            full_at += self.interval_s
            wait_s = 0.0
        self.full_at[who] = full_at
        if len(self.full_at) > self.most_kept:
            del self.full_at[next(iter(self.full_at))]
        return wait_s

    def taken(self, who: str, now_s: float) -> float:
        """Tokens that are missing from a bucket."""
        missing_s = self.full_at.get(who, now_s) - now_s
        return max(missing_s, 0.0) / self.interval_s if self.interval_s else 0.0

    def left(self, who: str, now_s: float) -> tuple[int, int]:
        """Whole tokens that are in a bucket, and the whole seconds until it is full again."""
        missing = self.taken(who, now_s)
        # What dust of binary fractions is above a whole number is not missing.
        there = max(0, math.floor(self.burst - missing + 1e-6))
        return there, math.ceil(missing * self.interval_s - 1e-6)


class Guard:
    """Lets callers in by their keys, and counts."""

    def __init__(self, settings: Settings, clock: Clock = SYSTEM, log: Log | None = None) -> None:
        self.open_reading = settings.open_reading
        rate = settings.requests_per_second
        # Two tables, so that no address can be written that empties the bucket of a key.
        self.keys = Throttle(rate, BURST * rate)
        self.addresses = Throttle(rate, BURST * rate)
        # The form of draft-ietf-httpapi-ratelimit-headers-10, from memory: a bucket is a quota for
        # as many seconds as fill it.
        self.policy = f"q={BURST * rate};w={BURST}"
        self.failures = Throttle(1 / FAILURE_FORGOTTEN_S, FAILURES_MOST)
        self.clock = clock
        self.log = log

    async def admitted(
        self, scope: HTTPScope, door: Door, keyring: Keyring, request_id: str
    ) -> Caller | None:
        """Caller who goes through this door, None where it is open and nobody gave a key.

        Headers that say what is left of a limit are kept as `counted` in the state of the request.

        Errors: `ProblemError` `no-key`, `bad-key`, `not-allowed`, `too-many`.
        """
        # INVARIANT: what a right key is told, and when, does not depend on others who failed from
        # its address: a whole shop may stand behind one.
        if door.needs == "open":
            self._count(door, None, scope)
            return None
        given = [value for name, value in scope["headers"] if name == b"authorization"]
        reading = self.open_reading and door.needs == "read"
        if reading and not given:
            self._count(door, None, scope)
            return None
        try:
            caller = caller_of(keyring, given, self.clock.epoch_s())
        except ProblemError as problem:
            self._log(problem.kind, scope, told_id(given), request_id)
            await self._slow_down(scope)
            raise
        self._count(door, caller, scope)
        if not reading and door.needs not in caller.scopes:
            self._log("not-allowed", scope, caller.key_id, request_id)
            detail = f"this key lacks the scope `{door.needs}`: ask for a key that has it"
            if door.needs is None:
                detail = "nobody may do this: its scope was never said"
            raise ProblemError("not-allowed", detail)
        return caller

    def refuse_revoked(self, caller: Caller | None, keyring: Keyring) -> None:
        """Raise `bad-key` where a caller's key was good when the request began, and is no more."""
        if caller is not None and not still_held(keyring, caller, self.clock.epoch_s()):
            raise bad_key()

    def _count(self, door: Door, caller: Caller | None, scope: HTTPScope) -> None:
        if not door.throttled:
            return
        now_s = self.clock.steady_s()
        if caller is None:
            bucket, who, name = self.addresses, address(scope), "address"
        else:
            bucket, who, name = self.keys, caller.key_id, "key"
        wait_s = bucket.take(who, now_s)
        if bucket.interval_s:
            tokens, full_s = bucket.left(who, now_s)
            scope["state"]["counted"] = (
                (b"ratelimit-policy", f'"{name}";{self.policy}'.encode()),
                (b"ratelimit", f'"{name}";r={tokens};t={full_s}'.encode()),
            )
        if wait_s:
            raise _too_many("from this address" if caller is None else "with this key", wait_s)

    async def _slow_down(self, scope: HTTPScope) -> None:
        """Have an address wait for the answer to a failure; past its limit raise `too-many`."""
        who, now_s = address(scope), self.clock.steady_s()
        over = self.failures.taken(who, now_s) - FAILURES_FREE
        refused_s = self.failures.take(who, now_s)
        if refused_s:
            raise _too_many(_NO_RIGHT_KEY, refused_s)
        if over >= 0:
            await self.clock.pause(min(_FIRST_WAIT_S * 2**over, LONGEST_WAIT_S))

    def _log(self, refused: str, scope: HTTPScope, key_id: str | None, request_id: str) -> None:
        if self.log is not None:
            entry = {"refused": refused, "address": address(scope), "request_id": request_id}
            self.log.add(entry if key_id is None else {**entry, "key_id": key_id})


def _too_many(whose: str, wait_s: float) -> ProblemError:
    seconds = max(1, math.ceil(wait_s))
    detail = f"too many requests {whose}: ask again in {seconds} s"
    return ProblemError("too-many", detail, headers=(("retry-after", str(seconds)),))


def address(scope: HTTPScope) -> str:
    """Address that a request comes from; of IPv6 the network, of which one caller has all."""
    client = scope.get("client")
    return _network(client[0][:64]) if client else "unknown"


@functools.lru_cache(1024)
def _network(host: str) -> str:
    try:
        read = ipaddress.ip_address(host)
    except ValueError:  # what a proxy wrote, or the path of a socket
        return host
    if isinstance(read, ipaddress.IPv4Address):
        return str(read)
    if read.ipv4_mapped is not None:
        return str(read.ipv4_mapped)
    return str(ipaddress.IPv6Network((int(read) >> 64 << 64, 64)))
