"""The demonstration tables equal the lists they were taken from, cell by cell."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from tests.catalog.tables.shipped import FOLDER

SHARED = Path(__file__).resolve().parents[3].parent / "shared"


def cells(file: Path) -> list[list[str]]:
    with file.open(newline="", encoding="utf-8") as lines:
        return list(csv.reader(lines))


@pytest.mark.parametrize(("table", "count", "columns"), [("targets", 336, 12), ("inserts", 66, 5)])
def test_equals_the_demonstration_list(table: str, count: int, columns: int) -> None:
    theirs = SHARED / f"demo-{table}.csv"
    if not theirs.is_file():
        pytest.skip(f"no {theirs.name} beside this checkout to compare with")
    ours, wanted = cells(FOLDER / f"{table}.csv"), cells(theirs)
    assert ours == wanted
    assert len(wanted) == count + 1
    assert {len(row) for row in wanted} == {columns}


# Spot checks that need no sibling folder; numbers of the demonstration world.
@pytest.mark.parametrize(
    ("key", "force_kn", "ceiling_kn"),
    [
        (("L", "6", "0.9", "1.1", "carbon-steel", "metal", "none"), "10.7", "13.3"),
        (("L", "12", "1.4", "1.6", "carbon-steel", "metal", "none"), "19.7", "24.6"),
        (("S", "16", "1.9", "2.1", "carbon-steel", "metal", "none"), "27.5", "34.3"),
        (("L", "42", "2.9", "3.1", "carbon-steel", "metal", "none"), "85.9", "107.3"),
    ],
)
def test_target(key: tuple[str, ...], force_kn: str, ceiling_kn: str) -> None:
    header, *body = cells(FOLDER / "targets.csv")
    force, ceiling = header.index("force_kn"), header.index("ceiling_kn")
    (row,) = [row for row in body if tuple(row[:7]) == key]
    assert (Decimal(row[force]), Decimal(row[ceiling])) == (Decimal(force_kn), Decimal(ceiling_kn))
