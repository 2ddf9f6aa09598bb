"""Offices to take steps in: one with nothing proposed, one with a sound proposal, one with a bad.

A report takes seconds, so each is made once, and every test has a copy of its own.
"""

from pathlib import Path
from shutil import copytree

import pytest

from service.settings import KEY
from tests.service.desk.office import SLIPPED, Office, furnished, targets_in


@pytest.fixture(scope="session")
def _new(tmp_path_factory: pytest.TempPathFactory) -> Office:
    return furnished(tmp_path_factory.mktemp("new") / "shop")


def _proposed(new: Office, room: Path, file: Path) -> Office:
    office = Office(copytree(new.folder, room / "shop"), new.keys)
    with pytest.MonkeyPatch.context() as patch:
        office.sits(patch, "office")
        office.run("catalog", "propose", file, "--base", "current", "--note", "measured anew")
    return office


@pytest.fixture(scope="session")
def _with_proposal(_new: Office, tmp_path_factory: pytest.TempPathFactory) -> Office:
    room = tmp_path_factory.mktemp("proposed")
    return _proposed(_new, room, targets_in(room))


@pytest.fixture(scope="session")
def _with_slip(_new: Office, tmp_path_factory: pytest.TempPathFactory) -> Office:
    room = tmp_path_factory.mktemp("slipped")
    return _proposed(_new, room, targets_in(room, SLIPPED))


def _copied(office: Office, room: Path) -> Office:
    return Office(copytree(office.folder, room / "shop"), office.keys)


@pytest.fixture
def office(_new: Office, tmp_path: Path) -> Office:
    """An office with nothing proposed."""
    return _copied(_new, tmp_path)


@pytest.fixture
def proposed(_with_proposal: Office, tmp_path: Path) -> Office:
    """An office with a sound revision proposed by `office`."""
    return _copied(_with_proposal, tmp_path)


@pytest.fixture
def slipped(_with_slip: Office, tmp_path: Path) -> Office:
    """An office with a revision whose decimal point slipped."""
    return _copied(_with_slip, tmp_path)


@pytest.fixture(autouse=True)
def _nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody's key stands in the environment, and the terminal is a usual one."""
    monkeypatch.delenv(KEY, raising=False)
    monkeypatch.delenv("RINGWRIGHT_DATA", raising=False)
    monkeypatch.setenv("COLUMNS", "80")
