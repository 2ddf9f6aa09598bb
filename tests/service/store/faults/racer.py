"""A process that races others: to open a new folder, or for the next activation."""

import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from service.store.records import Activation
from service.store.sqlite import open_store
from tests.service.store.office import SHIPPED, at, small


def main() -> None:
    """Take orders, a line each, until there are none."""
    _say("ready")
    for line in sys.stdin:
        order, *words = line.split()
        _say(ORDERS[order](*words))


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def _open(folder: str) -> str:
    """Open a folder that may be new; the revision that holds."""
    store = open_store(Path(folder), seed=SHIPPED, at=at(0))
    with closing(store), store.reading() as records:
        last = records.last_activation()
    return last.revision if last else "nothing"


def _activate(folder: str, name: str, tries: str) -> str:
    """Activate by turns what was stored, each time as the next after what was seen; won, lost."""
    won = lost = 0
    with closing(open_store(Path(folder), seed=None, at=at(0))) as store:
        for turn in range(int(tries)):
            with store.reading() as records:
                seen = records.last_activation()
            assert seen is not None
            wanted = Activation(
                n=seen.n + 1,
                at=at(1),
                by=name,
                revision=small(turn % 2).id,
                previous=seen.revision,
                approval=None,
                note=f"try {turn}",
            )
            try:
                with store.changing() as change:
                    change.add(wanted)
            except ValueError:
                lost += 1
            else:
                won += 1
    return f"{won} {lost}"


ORDERS: dict[str, Callable[..., str]] = {"open": _open, "activate": _activate}

if __name__ == "__main__":
    main()
