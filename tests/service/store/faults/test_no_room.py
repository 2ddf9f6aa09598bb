"""A full disk and a folder that may not be written: told clearly, and what holds goes on."""

import json
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from service.store.sqlite import open_store
from service.store.sqlite.opening import FILE
from service.store.verifying import verified
from tests.service.store.faults.children import child
from tests.service.store.office import SHIPPED, at, publish, small

pytestmark = pytest.mark.apart


def _told(module: str, *arguments: str | Path, before: tuple[str, ...] = ()) -> dict[str, Any]:
    with child(module, *arguments, before=before) as process:
        said, complained = process.communicate(timeout=60)
        assert process.returncode == 0, complained
    told: dict[str, Any] = json.loads(said)
    return told


def _own_mounts() -> tuple[str, ...] | None:
    """Command that gives a process mounts of its own, None where nobody may."""
    for command in (("unshare", "-m"), ("unshare", "-Urm")):
        if not shutil.which("unshare"):
            return None
        mount = "mount -t tmpfs -o size=1m none /mnt"
        if subprocess.run([*command, "sh", "-c", mount], capture_output=True).returncode == 0:
            return command
    return None


def test_a_full_disk(tmp_path: Path) -> None:
    mounts = _own_mounts()
    if mounts is None:
        pytest.skip("no small disk can be mounted here; the test of a limit to a file stands in")
    told = _told("full_disk", tmp_path, before=mounts)
    assert len(told["refusals"]) > 2
    for refusal in told["refusals"]:
        assert f"no room left for `{tmp_path / FILE}`" in refusal
        assert "nothing was stored: make room on the disk, then repeat the step" in refusal
    assert told["answers"] is True
    # A start while the disk is full either answers from what holds or says why not.
    for start in (told["another start"], told["start"]):
        assert start is True or "room" in start
    assert told["with room"] is told["published"] is True
    assert told["faults"] == []


def test_a_file_that_may_not_grow(tmp_path: Path) -> None:
    with closing(open_store(tmp_path, seed=SHIPPED, at=at(0))) as store:
        publish(store, small(1))
        told = _told("stranger", "limit", tmp_path)
        assert f"`{tmp_path / FILE}` cannot be used" in told["refusal"]
        assert "see to the disk and the room on it" in told["refusal"]
        assert told["holds"] == small(1).id
        assert told["faults"] == []
        publish(store, small(2))
        with store.reading() as records:
            assert verified(records) == ()


@pytest.fixture
def public() -> Iterator[Path]:
    """A folder that every user may enter; those of pytest are closed to others."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    _permit(folder, folder=0o755, file=0o644)
    shutil.rmtree(folder)


def _permit(place: Path, *, folder: int, file: int) -> None:
    for each in place.iterdir():
        each.chmod(file)
    place.chmod(folder)


def test_a_new_folder_that_may_not_be_written(public: Path) -> None:
    _permit(public, folder=0o555, file=0o444)
    told = _told("stranger", "stranger", public)["opening"]
    assert told.startswith(f"`{public / FILE}` cannot be opened")
    assert "see that the folder is there, that this user may write in it" in told


def test_a_store_at_rest_that_may_not_be_written(public: Path) -> None:
    open_store(public, seed=small(1), at=at(0)).close()
    _permit(public, folder=0o555, file=0o444)
    told = _told("stranger", "stranger", public)["opening"]
    assert str(public / FILE) in told
    assert "let this user write" in told or "may write in it" in told
    _permit(public, folder=0o755, file=0o644)
    with closing(open_store(public, seed=SHIPPED, at=at(1))) as store, store.reading() as records:
        assert records.revisions() == (small(1).id,)
        assert verified(records) == ()


def test_a_running_store_answers_whom_it_does_not_let_write(public: Path) -> None:
    with closing(open_store(public, seed=small(1), at=at(0))) as store:
        publish(store, small(2))
        _permit(public, folder=0o555, file=0o444)
        told = _told("stranger", "stranger", public)
        assert told["holds"] == told["still holds"] == small(2).id
        assert told["changing"].startswith(f"`{public / FILE}` cannot be written")
        assert "let this user write the file and its folder" in told["changing"]
        with store.reading() as records:
            assert records.keys() == ()
            assert verified(records) == ()
