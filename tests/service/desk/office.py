"""A folder that an office keeps, with two people's keys, and one row of a table revised."""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import pytest
from msgspec import Struct

from service.cli.opening import made, opened
from service.office.keys import make_key
from service.settings import KEY
from service.store.records import Scope
from tests.service.commands import SHIPPED, call

AT: Final = "2026-03-02T06:00:00Z"
ROW: Final = "targets/S/16/2.4/2.6/carbon-steel/metal/none"
LINE: Final = "S,16,2.4,2.6,carbon-steel,,metal,,none,28.5,8,at-pressure,35.6,demo"
HIGHER: Final = "S,16,2.4,2.6,carbon-steel,,metal,,none,29,8,at-pressure,36.3,demo"
"""1.25 x 29 kN = 36.25 kN, rounded up, as the ceilings of the table are."""
SLIPPED: Final = "S,16,2.4,2.6,carbon-steel,,metal,,none,290,8,at-pressure,363,demo"
"""The same with its decimal points slipped by one."""
PEOPLE: Final[Mapping[str, tuple[Scope, ...]]] = {
    "reader": ("read",),
    "office": ("propose",),
    "lead": ("approve", "activate"),
    "both": ("propose", "approve", "activate"),
}


class Office(Struct, frozen=True):
    """A folder with a store, and what each key is."""

    folder: Path
    keys: Mapping[str, str]

    def sits(self, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
        """Have somebody sit at the terminal, with their key."""
        monkeypatch.setenv(KEY, self.keys[name])

    def run(self, *arguments: str | Path, code: int = 0) -> tuple[str, str]:
        """What a command on this folder says and complains of."""
        ended = call(*arguments, "--data", self.folder, code=code)
        return ended.stdout, ended.stderr


def furnished(folder: Path) -> Office:
    """A new office."""
    with made(folder) as store:
        keys = {
            name: make_key(store, name, scopes, expires_at=None, by="cli:admin", at=AT).text
            for name, scopes in PEOPLE.items()
        }
    return Office(folder, keys)


def targets_in(folder: Path, line: str = HIGHER) -> Path:
    """`targets.csv` in a folder, one of its rows another."""
    text = (SHIPPED / "targets.csv").read_text(encoding="utf-8")
    assert text.count(LINE) == 1
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "targets.csv"
    file.write_text(text.replace(LINE, line), encoding="utf-8")
    return file


def steps_of(folder: Path) -> list[tuple[str, str]]:
    """Who took which step, in order."""
    with opened(folder) as store, store.reading() as records:
        return [(entry.by, entry.action) for entry in records.audit()]


def newest(office: Office) -> str:
    """Revision that came in last."""
    with opened(office.folder) as store, store.reading() as records:
        return records.revisions()[-1]
