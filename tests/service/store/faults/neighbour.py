"""Another process that has a store open, and does in it what it is told to."""

import sys
from pathlib import Path

from service.store.records import Key
from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from tests.service.store.office import at, key
from tests.service.store.raw import raw


def main(folder: Path) -> None:
    """Take orders, a line each, until there are none."""
    store = open_store(folder, seed=None, at=at(0))
    _say("open")
    for line in sys.stdin:
        match line.strip():
            case "make":
                _say(str(make_a_key(store)))
            case "write back":
                with raw(folder) as connection:
                    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                _say("written back")
            case "close":
                store.close()
                _say("closed")


def make_a_key(store: Store) -> int:
    """Make one more key; its number."""
    with store.changing() as change:
        number = change.next_number(Key)
        change.add(key(number))
    return number


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
