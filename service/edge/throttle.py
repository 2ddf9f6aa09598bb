"""How often one and the same may ask: a bucket of tokens each, in bounded memory.

A bucket is kept as the moment at which it is full again, which is all that there is to know.
"""

import math
from typing import Final

MOST_KEPT: Final = 4096
"""Buckets that are kept; whoever has not asked for longest is forgotten, and starts full."""


class Throttle:
    """Buckets of `burst` tokens that fill up at `per_second`; 0 a second is no limit."""

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
