"""Every end that a table can be asked about is asked once, and none that it cannot."""

from itertools import product

from catalog.impact.ends import ends_of, pairs_of, temperatures_of
from tests.catalog.impact.small import END, dropped, indexes, one, row_like, small
from tests.catalog.synthetic import shipped_with

INDEX, OTHER = indexes(
    small(), small(dropped("tubes", "en-10305-4/16/3"), row_like("gauges", "gauge-b", id="gauge-x"))
)


def test_ends_of_the_small_shop_are_those_counted_by_hand() -> None:
    ends = ends_of(INDEX)
    # E235+N is drawn to EN 10305-4: 12 mm in 0.5 1 1.5 2 2.5, 16 mm in 1 1.5 2 2.5 3.
    walls = {12.0: (0.5, 1.0, 1.5, 2.0, 2.5), 16.0: (1.0, 1.5, 2.0, 2.5, 3.0)}
    by_hand = {
        ("S", od_mm, wall_mm, "e235-n", style, "carbon-steel", insert)
        for od_mm, of_od in walls.items()
        for wall_mm, style, insert in product(
            of_od, ("metal", "elastomer-sealed"), ("none", "fitted")
        )
    }
    found = {
        (e.series, e.od_mm, e.wall_mm, e.material, e.ring_style, e.ring_material, e.insert)
        for e in ends
        if e.material == "e235-n"
    }
    assert found == by_hand
    assert {e.ring_material for e in ends if e.material == "en-1.4571"} == {"stainless-steel"}
    assert ends == sorted(set(ends))


def test_every_target_of_the_shipped_tables_is_asked_about() -> None:
    index = shipped_with()
    ends = ends_of(index)
    reached = set()
    for end in ends:
        material = index.materials[end.material]
        for row in index.bands(end.series, end.od_mm, material, end.ring_style, end.ring):
            if row.insert == end.insert and row.wall_min_mm <= end.wall_mm <= row.wall_max_mm:
                reached.add(row.ref)
    assert len(reached) == 423
    assert len(ends) == len(set(ends))


def test_ends_of_both_revisions_are_asked() -> None:
    both = ends_of(INDEX, OTHER)
    assert both == ends_of(OTHER, INDEX)
    assert both == sorted({*ends_of(INDEX), *ends_of(OTHER)})
    gone = [e for e in both if e not in ends_of(OTHER)]
    # 16 x 3 in two ring styles, with and without an insert.
    assert {(e.od_mm, e.wall_mm) for e in gone if e.material == "e235-n"} == {(16.0, 3.0)}
    assert len([e for e in gone if e.material == "e235-n"]) == 4


def test_pairs_are_presses_with_the_gauges_that_they_list() -> None:
    by_hand = [
        ("press-b", "gauge-a"),
        ("press-b", "gauge-b"),
        ("press-c", "gauge-b"),
        ("press-c", "gauge-c"),
    ]
    assert pairs_of(INDEX) == by_hand
    # A gauge that no press lists makes no pair.
    assert pairs_of(OTHER) == by_hand
    third, _ = indexes(small(one("presses", "press-c", gauges=("gauge-a",))), small())
    assert pairs_of(INDEX, third) == [*by_hand[:2], ("press-c", "gauge-a"), *by_hand[2:]]


def test_temperatures_are_those_of_strengths_and_deratings() -> None:
    # E235+N at 20 and 120 degC, fittings of carbon steel up to 120 degC.
    assert temperatures_of(END, INDEX) == [20.0, 120.0]
    hot, _ = indexes(
        small(
            (),
            row_like("strengths", "e235-n/120", temp_c=80.0),
            row_like("derating", "carbon-steel/120", temp_max_c=200.0, factor=0.8),
        ),
        small(),
    )
    assert temperatures_of(END, hot) == [20.0, 80.0, 120.0, 200.0]
    assert temperatures_of(END, INDEX, hot) == [20.0, 80.0, 120.0, 200.0]
