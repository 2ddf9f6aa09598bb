"""Log and index taken away under an open store: it refuses, and never splits from who comes next.

Such is a folder restored in place, or tidied of "temporary" files, while the service runs.
"""

import errno
import fcntl
import os
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.keeping import Store
from service.store.sqlite.opening import FILE
from service.store.sqlite.refusals import StoreError
from service.store.sqlite.watching import Files
from service.store.verifying import verified
from tests.service.store.faults.children import child, hear, say
from tests.service.store.faults.neighbour import make_a_key
from tests.service.store.office import at

pytestmark = pytest.mark.apart

BESIDE = [("-wal", "-shm"), ("-wal",), ("-shm",)]
REFUSAL = "stop every process that has the folder open, then start one"


def opened(folder: Path) -> Store:
    return open_store(folder, seed=None, at=at(0))


def take_away(folder: Path, ends: tuple[str, ...]) -> None:
    for end in ends:
        (folder / f"{FILE}{end}").unlink()


def told(neighbour: subprocess.Popen[str], order: str) -> str:
    say(neighbour, order)
    return hear(neighbour)


@contextmanager
def another(folder: Path) -> Iterator[subprocess.Popen[str]]:
    """A process that has the store open."""
    with child("neighbour", folder) as process:
        assert hear(process) == "open"
        yield process


def refuses(store: Store, why: str) -> None:
    """Every verb of the store is refused, and the refusal says what to do."""

    def read() -> None:
        with store.reading():
            pass

    verbs: tuple[Callable[[], object], ...] = (store.version, read, lambda: make_a_key(store))
    for verb in verbs:
        with pytest.raises(StoreError, match=REFUSAL) as refused:
            verb()
        assert why in str(refused.value)


def keys_of(folder: Path) -> int:
    """Number of keys that a process which starts now finds, with nothing wrong in the store."""
    with closing(opened(folder)) as store, store.reading() as records:
        assert verified(records) == ()
        return len(records.keys())


@pytest.mark.parametrize("ends", BESIDE)
def test_a_store_whose_side_files_are_gone_refuses_and_loses_nothing(
    tmp_path: Path, ends: tuple[str, ...]
) -> None:
    store = opened(tmp_path)
    assert make_a_key(store) == 1
    take_away(tmp_path, ends)
    refuses(store, f"{FILE}{ends[0]}` is gone")
    # What was acknowledged before is in the file: letting go of the log has written it back.
    with another(tmp_path) as neighbour:
        assert told(neighbour, "make") == "2"
        refuses(store, f"{FILE}{ends[0]}` is gone")
        store.close()
        assert told(neighbour, "make") == "3"
    assert keys_of(tmp_path) == 3


@pytest.mark.parametrize("ends", [("-wal", "-shm"), ("-shm",)])
@pytest.mark.parametrize("first", ["looks", "closes unaware"])
@pytest.mark.parametrize("next_one", ["stays", "is done"])
def test_what_another_process_has_begun_anew_is_left_alone(
    tmp_path: Path, ends: tuple[str, ...], first: str, next_one: str
) -> None:
    with closing(opened(tmp_path)) as store:
        make_a_key(store)
        take_away(tmp_path, ends)
        with another(tmp_path) as neighbour:
            # A log that is gone has taken its key along; with the index alone gone it is read anew.
            before = 0 if "-wal" in ends else 1
            assert told(neighbour, "make") == str(before + 1)
            assert told(neighbour, "make") == str(before + 2)
            if next_one == "is done":
                assert told(neighbour, "close") == "closed"
            if first == "looks":
                refuses(store, "is another file than was opened")
            store.close()
            if next_one == "stays":
                assert told(neighbour, "make") == str(before + 3)
    assert keys_of(tmp_path) == before + (3 if next_one == "stays" else 2)


@pytest.mark.parametrize("fails", ["open", "lock"])
def test_what_cannot_be_locked_is_not_closed_and_locked_the_next_time(
    tmp_path: Path, fails: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EAGAIN, "held alone for a moment")

    store = opened(tmp_path)
    make_a_key(store)
    take_away(tmp_path, ("-wal", "-shm"))
    with another(tmp_path) as neighbour:
        assert told(neighbour, "make") == "1"
        with monkeypatch.context() as patched:
            patched.setattr(*((os, "open") if fails == "open" else (fcntl, "fcntl")), refuse)
            with pytest.raises(StoreError, match="cannot be locked"):
                store.close()
        # What the other one has begun is still there, and stays so.
        assert (tmp_path / f"{FILE}-wal").exists()
        store.close()
        assert told(neighbour, "make") == "2"
    assert keys_of(tmp_path) == 2


def test_with_the_log_alone_gone_nobody_starts_before_the_first_lets_go(tmp_path: Path) -> None:
    with closing(opened(tmp_path)) as store:
        make_a_key(store)
        take_away(tmp_path, ("-wal",))
        with child("neighbour", tmp_path) as neighbour:
            heard, refusal = neighbour.communicate(timeout=60)
        assert heard == ""
        # It reads the index that is still there, and finds nothing of what that names.
        assert "stop the service, keep a copy of the folder" in refusal
        refuses(store, f"{FILE}-wal` is another file than was opened")
        with another(tmp_path) as neighbour:
            assert told(neighbour, "make").isdigit()


@pytest.mark.parametrize("ends", BESIDE)
def test_a_change_under_which_they_vanish_is_not_acknowledged(
    tmp_path: Path, ends: tuple[str, ...]
) -> None:
    with closing(opened(tmp_path)) as store:

        def change_then_vanish() -> None:
            with store.changing() as change:
                change.add_report(b"a report")
                take_away(tmp_path, ends)

        with pytest.raises(StoreError, match=REFUSAL):
            change_then_vanish()
        refuses(store, "is gone")


@pytest.mark.parametrize("ends", BESIDE)
def test_a_commit_under_which_they_vanish_is_not_acknowledged(
    tmp_path: Path, ends: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    looked = Files.refuse_others
    with closing(opened(tmp_path)) as store:

        def look_then_vanish(files: Files) -> None:
            looked(files)
            monkeypatch.setattr(Files, "refuse_others", looked)
            take_away(tmp_path, ends)

        def change_then_commit() -> None:
            with store.changing() as change:
                change.add_report(b"a report")
                monkeypatch.setattr(Files, "refuse_others", look_then_vanish)

        with pytest.raises(StoreError, match=REFUSAL):
            change_then_commit()
        refuses(store, "is gone")


def test_others_that_come_and_go_are_no_alarm(tmp_path: Path) -> None:
    with closing(opened(tmp_path)) as store:
        for number in range(1, 9, 4):
            with another(tmp_path) as stays, another(tmp_path) as goes:
                assert told(goes, "make") == str(number)
                assert told(stays, "write back") == "written back"
                assert told(goes, "close") == "closed"
                store.version()
                assert told(stays, "make") == str(number + 1)
            # Both are killed by now; a second store of this process comes and goes as well.
            with closing(opened(tmp_path)) as second:
                assert make_a_key(second) == number + 2
            assert make_a_key(store) == number + 3
    assert keys_of(tmp_path) == 8
    assert not list(tmp_path.glob("*-wal"))


def test_a_store_behind_a_link_is_watched_where_it_lies(tmp_path: Path) -> None:
    real = tmp_path / "real"
    opened(real).close()
    named = tmp_path / "named"
    named.mkdir()
    (named / FILE).symlink_to(real / FILE)
    with closing(opened(named)) as store:
        assert make_a_key(store) == 1
        take_away(real, ("-wal",))
        refuses(store, "is gone")
