"""A thicker wall that is pressed with less force than a thinner one of the same tube."""

from catalog.plausibility import doubts_of
from tests.publish.slips import CARBON_16, CARBON_16_THICK, about, ref, slipped, strong, times


def test_a_thicker_wall_with_less_force_is_doubted() -> None:
    # 28.5 kN at wall 2.5 x 0.9 = 25.6 kN, 7 % below the 27.5 kN of wall 2.
    bad = slipped("targets", ref(CARBON_16_THICK), times(0.9, "force_kn", "ceiling_kn"))
    found = strong(bad)
    assert about(found, CARBON_16_THICK, "force_kn") == ["force-falls-with-wall"]
    assert CARBON_16 in found[0].rows


def test_a_small_fall_is_doubted_weakly_or_not_at_all() -> None:
    # 28.5 x 0.955 = 27.2 kN: 1 % below wall 2, within what rounding and reading make of it.
    bad = slipped("targets", ref(CARBON_16_THICK), times(0.955, "force_kn", "ceiling_kn"))
    assert not any(d.weight == "strong" for d in doubts_of(bad))


def test_an_insert_is_no_thinner_wall() -> None:
    # 12 L x 1 with an insert takes 21.7 kN, 12 L x 1.5 without one 19.7: shipped, and no doubt.
    bad = slipped("targets", ref(CARBON_16), times(1.0, "force_kn"))
    assert doubts_of(bad) == ()
