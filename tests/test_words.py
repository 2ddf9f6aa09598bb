"""Words that are no longer used: each has one name of today, and a fitter could mistake some."""

import re
from functools import cache
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parents[1]
OLDER = {
    "catalog/older.py",
    "tests/catalog/rules/cases/missing.yaml",
    "tests/catalog/test_older.py",
    "tests/service/edge/test_renamed.py",
    "tests/catalog/loading/test_renamed.py",
    "tests/service/store/test_formats.py",
    "tests/test_words.py",
}
"""Files that speak of older formats, and this one."""
SPARED = (
    "service/edge/docs/",
    "tests/catalog/held/cases/",
    "tests/service/store/formats/",
)
"""Texts of others, and answers as they once were."""

BANNED = {
    "elastomer-sealed": r"soft.seal",
    "at-contact, or the nut meets the cone": r"closed.gap|gap (that )?clos|clos(es?|ing) the gap",
    # In inch flareless fittings that word is the ring itself.
    "insert": r"sleeve",
    "flareless": r"(?<!SAE )\bJ514\b",
    "plate-metric- and plate-inch-": r"plate-[mj]-",
    "contact_reading": r"closing_reading",
}


ROOMS = ("catalog", "service", "tests", "openapi", "docker")
MADE = {"__pycache__", "node_modules"}
"""Folders of what programs make: there need be no git that would know them."""


@cache
def _texts() -> dict[str, str]:
    files = [*HERE.glob("*.md"), *(file for room in ROOMS for file in (HERE / room).rglob("*"))]
    named = {file.relative_to(HERE).as_posix(): file for file in files if file.is_file()}
    return {
        name: file.read_text(encoding="utf-8")
        for name, file in sorted(named.items())
        if file.suffix != ".bin"
        and MADE.isdisjoint(file.parts)
        and not name.startswith(SPARED)
        and name not in OLDER
    }


@pytest.mark.parametrize("now", BANNED)
def test_a_word_of_older_days_is_nowhere(now: str) -> None:
    pattern = re.compile(BANNED[now], re.IGNORECASE)
    found = [
        f"{name}: {line.strip()[:100]}"
        for name, text in _texts().items()
        for line in text.splitlines()
        if pattern.search(line) and "sae-j514" not in line.lower()
    ]
    assert found == []
