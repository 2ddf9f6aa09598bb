"""A larger tube that is pressed with less force than a smaller one of the same wall."""

import pytest

from tests.publish.slips import CARBON_20, about, ref, slipped, strong, times


def test_a_row_below_the_next_smaller_od_is_doubted() -> None:
    # 34.3 kN at 20 mm x 0.74 = 25.4 kN, below the 27.5 kN of 16 mm.
    found = strong(slipped("targets", ref(CARBON_20), times(0.74, "force_kn", "ceiling_kn")))
    assert about(found, CARBON_20, "force_kn") == ["force-falls-with-od"]
    assert "25.38 kN" in found[0].message
    assert "27.5 kN" in found[0].message


def test_a_whole_size_below_the_next_smaller_one_is_told_once() -> None:
    # Every force of 20 S x 0.7 is below 16 S: 21 rows, one doubt.
    bad = slipped(
        "targets",
        lambda r: r.series == "S" and r.od_mm == 20,
        times(0.7, "force_kn", "ceiling_kn"),
    )
    found = strong(bad)
    assert [d.kind for d in found] == ["force-falls-with-od"]
    assert len([r for r in found[0].rows if r.startswith("targets/S/20/")]) == 21


@pytest.mark.parametrize("factor", [0.99, 1.0, 1.01])
def test_what_rounding_may_do_is_no_doubt(factor: float) -> None:
    bad = slipped("targets", ref(CARBON_20), times(factor, "force_kn", "ceiling_kn"))
    assert strong(bad) == []
