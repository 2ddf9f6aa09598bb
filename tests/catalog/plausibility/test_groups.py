"""A grade that has forces of its own, and a ring set of one size, are judged as such."""

import pytest

from catalog.plausibility import doubts_of
from catalog.plausibility.forces import forces_of
from tests.publish.slips import ref, shipped, slipped, times

BAND = "targets/L/18/1.9/2.1/carbon-steel"
ONE_SIZE = "ring-L-18-metal-carbon-steel-b"


def test_a_named_set_of_the_whole_series_stands_with_the_rows_that_name_none() -> None:
    forces = forces_of(shipped())
    groups = {row.ref: group for row, group in zip(forces.rows, forces.groups, strict=True)}
    named = groups[f"{BAND}/metal/ring-L-metal-carbon-steel/none"]
    assert named == groups["targets/L/15/1.9/2.1/carbon-steel/metal/none"]
    other = groups[f"{BAND}/metal/{ONE_SIZE}/none"]
    graded = groups[f"{BAND}/e355-n/metal/ring-L-metal-carbon-steel/none"]
    assert other == named._replace(ring=ONE_SIZE)
    assert graded == named._replace(tube="carbon-steel e355-n")


@pytest.mark.parametrize("factor", [1.3, 1 / 1.3])
@pytest.mark.parametrize(
    "row",
    [
        f"{BAND}/metal/ring-L-metal-carbon-steel/none",
        f"{BAND}/metal/{ONE_SIZE}/none",
        f"{BAND}/e355-n/metal/ring-L-metal-carbon-steel/none",
        f"{BAND}/e355-n/elastomer-sealed/none",
    ],
)
def test_a_slip_of_one_is_found(row: str, factor: float) -> None:
    bad = slipped("targets", ref(row), times(factor, "force_kn", "ceiling_kn"))
    assert any(row in d.rows for d in doubts_of(bad) if d.weight == "strong")
