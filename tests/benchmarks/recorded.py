"""What a benchmark measured when it was recorded, and how far from that is too far.

A neighbour on the machine, or another machine, moves a ratio by some tens of percent; twice the
recorded one is no such thing.
"""

import sys
from collections.abc import Mapping
from typing import Final

MOST: Final = 2.0


def beyond(measured: Mapping[str, float], recorded: Mapping[str, float]) -> list[str]:
    """What was measured at more than twice what is recorded, was not measured or is not recorded.

    >>> beyond({"press target": 4.1, "pick": 2.0}, {"press target": 2.0, "pick": 1.0})
    ['press target: 4.10, limit 4.00, twice the recorded']
    """
    told = [f"{name}: measured, and not recorded" for name in measured.keys() - recorded.keys()]
    for name, usual in recorded.items():
        if name not in measured:
            told.append(f"{name}: recorded, and not measured")
        # Turned round, so that a number that is none fails too.
        elif not measured[name] <= MOST * usual:
            told.append(
                f"{name}: {measured[name]:.2f}, limit {MOST * usual:.2f}, twice the recorded"
            )
    return told


def verdict(measured: Mapping[str, float], recorded: Mapping[str, float]) -> int:
    """Exit code of a benchmark, 1 where anything is beyond; what it is, is told."""
    told = beyond(measured, recorded)
    sys.stderr.write("".join(f"BEYOND ITS LIMIT: {line}\n" for line in told))
    return 1 if told else 0
