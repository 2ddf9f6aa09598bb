"""A stronger tube that is pressed with less force than a weaker one of the same size."""

from catalog.plausibility.order import strengths_of
from tests.publish.slips import (
    CARBON_16,
    STAINLESS_16,
    about,
    exchanged,
    ref,
    shipped,
    slipped,
    strong,
    times,
)


def test_the_families_are_ordered_by_their_tensile_strength() -> None:
    # By hand from materials.csv, grades that may be preset: carbon 310, 310, 340 -> 310, and 490
    # of the grade that has forces of its own; nickel-copper 480; stainless 485, 490, 490 -> 490.
    assert strengths_of(shipped()) == {
        "carbon-steel": 310.0,
        "carbon-steel e355-n": 490.0,
        "nickel-copper": 480.0,
        "stainless-steel": 490.0,
    }


def test_a_stainless_row_below_carbon_steel_is_doubted() -> None:
    # 41 kN x 0.65 = 26.7 kN, below the 27.5 kN of carbon steel; the fit blames the stainless row.
    bad = slipped("targets", ref(STAINLESS_16), times(0.65, "force_kn", "ceiling_kn"))
    assert about(strong(bad), STAINLESS_16, "force_kn") != []


def test_a_family_below_a_weaker_one_is_told_once() -> None:
    # All stainless forces x 0.6: 41 -> 24.6 kN against 27.5 kN, in every size.
    bad = slipped(
        "targets",
        lambda r: r.family == "stainless-steel",
        times(0.6, "force_kn", "ceiling_kn"),
    )
    found = [d for d in strong(bad) if d.kind == "force-falls-with-strength"]
    assert 1 <= len(found) <= 2
    assert STAINLESS_16 in found[0].rows


def test_the_order_is_read_from_the_materials() -> None:
    # Were carbon steel the stronger metal, its lower forces would be the wrong ones.
    bad = slipped(
        "materials", lambda r: r.family == "carbon-steel", lambda _: {"tensile_mpa": 800.0}
    )
    assert any(d.kind == "force-falls-with-strength" for d in strong(bad))


def test_two_families_that_changed_places_in_one_size_are_doubted() -> None:
    bad = exchanged(CARBON_16, STAINLESS_16, "force_kn", "ceiling_kn")
    assert about(strong(bad), STAINLESS_16, "force_kn") == ["rows-swapped"]
