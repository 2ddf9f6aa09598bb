"""A store on a small disk of its own that fills up; run where mounting harms nobody else."""

import json
import subprocess
import sys
from pathlib import Path

from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.sqlite.refusals import StoreError
from service.store.verifying import verified
from tests.service.store.office import at, propose, publish, small


def main(folder: Path) -> None:
    """Fill the disk, look at what still answers, make room, go on; what was seen, as JSON."""
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4m", "none", str(folder)], check=True)
    filler, active = folder / "filler", small(1).id
    store = open_store(folder, seed=small(0), at=at(0))
    publish(store, small(1))
    seen: dict[str, object] = {"refusals": _refusals(store, filler)}
    _fill(filler, leaving=0)
    seen["answers"] = _told(store)[-1] == active
    other = _opened(folder)
    seen["another start"] = other if isinstance(other, str) else _told(other)[-1] == active
    if not isinstance(other, str):
        other.close()
    store.close()
    other = _opened(folder)
    seen["start"] = other if isinstance(other, str) else _told(other)[-1] == active
    if not isinstance(other, str):
        other.close()
    filler.unlink()
    store = open_store(folder, seed=None, at=at(0))
    seen["with room"] = _told(store)[-1] == active
    publish(store, small(3))
    seen["published"] = _told(store)[-1] == small(3).id
    with store.reading() as records:
        seen["faults"] = list(verified(records))
    store.close()
    sys.stdout.write(json.dumps(seen))


def _refusals(store: Store, filler: Path) -> list[str]:
    """What is said with less and less room, so that a step ends at one page after another."""
    refusals = []
    for room_kb in (24, 20, 16, 12, 8, 4, 0):
        _fill(filler, leaving=room_kb * 1024)
        before = _told(store)
        try:
            propose(store, small(100 + room_kb))
        except StoreError as error:
            refusals.append(str(error))
            assert _told(store) == before, "half a step"
        filler.unlink()
        propose(store, small(200 + room_kb))
    return refusals


def _fill(filler: Path, *, leaving: int) -> None:
    """Take all room but a little."""
    with filler.open("wb", buffering=0) as file:
        try:
            while file.write(bytes(4096)) == 4096:
                pass
        except OSError:
            size = file.tell()
            file.truncate(max(size - leaving, 0))


def _opened(folder: Path) -> Store | str:
    try:
        return open_store(folder, seed=None, at=at(0))
    except StoreError as error:
        return str(error)


def _told(store: Store) -> list[object]:
    with store.reading() as records:
        last = records.last_activation()
        assert last is not None
        assert records.revision(last.revision) is not None
        return [records.audit(), records.revisions(), last.revision]


if __name__ == "__main__":
    main(Path(sys.argv[1]))
