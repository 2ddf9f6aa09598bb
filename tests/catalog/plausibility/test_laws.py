"""Tables of other laws than the demonstration's raise no strong doubt either."""

import random
from typing import Final

import pytest
from msgspec import structs

from catalog.plausibility import doubts_of
from tests.benchmarks.slips import LAWS, revision, table

pytestmark = pytest.mark.apart

SEEDS: Final = (1, 2, 3)


@pytest.mark.parametrize("law", sorted(LAWS))
@pytest.mark.parametrize("noise", [0.0, 0.01])
@pytest.mark.parametrize("seed", SEEDS)
def test_a_clean_table(law: str, noise: float, seed: int) -> None:
    rows = table(LAWS[law], noise, random.Random(seed))  # noqa: S311 - a simulation
    assert [d.id for d in doubts_of(revision(rows)) if d.weight == "strong"] == []


@pytest.mark.parametrize("law", sorted(LAWS))
def test_noise_of_three_percent_raises_few(law: str) -> None:
    # Ten tables of 336 rows: the benchmark counts more of them, and here none or one is usual.
    told = 0
    for seed in range(10):
        rows = table(LAWS[law], 0.03, random.Random(seed))  # noqa: S311 - a simulation
        told += sum(d.weight == "strong" for d in doubts_of(revision(rows)))
    assert told <= 2


@pytest.mark.parametrize("law", sorted(LAWS))
def test_one_slip_is_found_whatever_the_law(law: str) -> None:
    at = 70
    rows = table(LAWS[law], 0.01, random.Random(5))  # noqa: S311 - a simulation
    bad = list(rows)
    bad[at] = structs.replace(
        rows[at], force_kn=rows[at].force_kn * 1.3, ceiling_kn=rows[at].ceiling_kn * 1.3
    )
    found = [d for d in doubts_of(revision(bad)) if d.weight == "strong"]
    assert len(found) == 1
    assert rows[at].ref in found[0].rows
