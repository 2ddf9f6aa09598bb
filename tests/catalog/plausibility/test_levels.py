"""Line load and ratios, with numbers worked out by hand."""

from catalog.plausibility.levels import LINE_LOAD_STRONG
from tests.publish.slips import CARBON_16, shipped, slipped, strong, targets, times

BOTH = ("force_kn", "ceiling_kn")


def test_the_shipped_line_loads_lie_well_inside_the_band() -> None:
    # 27.5 kN / (3.1416 x 16 mm) = 0.547 kN a mm.
    loads = {r.ref: r.force_kn / (3.141592653589793 * r.od_mm) for r in targets()}
    assert abs(loads[CARBON_16] - 0.547) < 0.0005
    low, high = LINE_LOAD_STRONG
    # A common factor of 4.4 either way takes most of the table out of it.
    assert low * 1.5 < min(loads.values())
    assert max(loads.values()) < high / 1.5


def test_a_series_at_three_times_the_other_is_doubted_once() -> None:
    bad = slipped("targets", lambda r: r.series == "L", times(3, *BOTH))
    found = [d for d in strong(bad) if d.kind == "ratio"]
    assert len(found) == 1
    assert "3 times" in found[0].message


def test_a_ring_style_at_half_again_in_one_family_is_doubted() -> None:
    bad = slipped(
        "targets",
        lambda r: r.ring_style == "elastomer-sealed" and r.family == "carbon-steel",
        times(1.5, *BOTH),
    )
    assert any(d.kind == "ratio" for d in strong(bad))


def test_the_shipped_ratios_are_alike() -> None:
    assert [d for d in strong(shipped()) if d.kind == "ratio"] == []
