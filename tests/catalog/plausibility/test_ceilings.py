"""Ceilings and tolerances."""

import pytest

from catalog.plausibility import doubts_of
from tests.publish.slips import CARBON_16, about, ref, slipped, strong, times


@pytest.mark.parametrize(("factor", "doubted"), [(1.0, False), (1.2, True), (0.88, True)])
def test_a_ceiling_in_another_ratio(factor: float, doubted: bool) -> None:  # noqa: FBT001
    # 34.3 / 27.5 = 1.25; x 1.2 = 1.5, x 0.88 = 1.1.
    found = strong(slipped("targets", ref(CARBON_16), times(factor, "ceiling_kn")))
    assert bool(about(found, CARBON_16, "ceiling_kn")) == doubted
    assert about(found, CARBON_16, "force_kn") == []


def test_ceilings_of_twice_the_force_guard_nothing() -> None:
    bad = slipped("targets", lambda _: True, times(1.7, "ceiling_kn"))
    found = [d for d in strong(bad) if d.column == "ceiling_kn"]
    assert [(d.kind, len(d.rows)) for d in found] == [("out-of-band", 423)]


def test_one_such_ceiling_is_not_told_as_many() -> None:
    # 34.3 / 27.5 x 2 = 2.49 times.
    found = strong(slipped("targets", ref(CARBON_16), times(2.0, "ceiling_kn")))
    (high,) = (d for d in found if d.kind == "out-of-band" and d.column == "ceiling_kn")
    assert high.message.startswith("ceilings above 2 times their force: 1, the highest 2.49 times")


def test_a_tolerance_unlike_those_of_its_size() -> None:
    # 8 % at 16 mm: 10 % is unlike the others, 0.8 % a decimal.
    near = doubts_of(slipped("targets", ref(CARBON_16), lambda _: {"tolerance_percent": 10.0}))
    assert [(d.kind, d.weight) for d in near] == [("ratio", "weak")]
    far = strong(slipped("targets", ref(CARBON_16), lambda _: {"tolerance_percent": 0.8}))
    assert about(far, CARBON_16, "tolerance_percent") != []


def test_a_column_of_fractions_is_no_percent() -> None:
    bad = slipped("targets", lambda _: True, times(0.01, "tolerance_percent"))
    found = [d for d in strong(bad) if d.column == "tolerance_percent"]
    assert [(d.kind, len(d.rows)) for d in found] == [("out-of-band", 423)]
