"""Tube sizes: BWG walls, tolerances, and a tube, size, tool and ring for every target."""

import pytest
from fluids.piping import t_from_gauge

from catalog.quantities import size_key
from catalog.rows import (
    Cone,
    Material,
    Neighbour,
    Plate,
    Ring,
    Series,
    Size,
    Target,
    Tube,
)
from catalog.terms import Family, NeighbourKind
from tests.catalog.tables.shipped import rows

INCH = frozenset({"sae-j524", "sae-j525", "astm-a269"})
TUBES: dict[tuple[str, int, int], Tube] = {
    (t.standard, size_key(t.od_mm), size_key(t.wall_mm)): t for t in rows(Tube)
}


def tube(standard: str, od_mm: float, wall_mm: float) -> Tube:
    return TUBES[standard, size_key(od_mm), size_key(wall_mm)]


def test_inch_walls_are_bwg_gauges() -> None:
    # Source of the map: fluids.piping, schedule BWG; the same map is quoted by two other texts.
    gauges = (20, 18, 16, 14, 13, 12, 11, 10)
    inches = [t_from_gauge(gauge, SI=False, schedule="BWG") for gauge in gauges]
    assert inches == [0.035, 0.049, 0.065, 0.083, 0.095, 0.109, 0.120, 0.134]
    shipped = {size_key(t.wall_mm) for t in rows(Tube) if t.standard in INCH}
    assert shipped == {size_key(inch * 25.4) for inch in inches}


def test_inch_ods_are_sixteenths() -> None:
    # 1/16 in = 1.5875 mm exactly.
    sixteenths = (4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 32)
    ods = {size_key(t.od_mm) for t in rows(Tube) if t.standard in INCH}
    assert ods == {n * 15875 for n in sixteenths}  # in tenths of a micrometre


def test_every_inch_od_comes_in_every_inch_standard() -> None:
    for standard in (*INCH, "astm-b165"):
        inch = {t.od_mm for t in rows(Tube) if t.standard == standard and t.od_mm % 1}
        assert 6.35 in inch
        assert 50.8 in inch


@pytest.mark.parametrize(
    ("standard", "od_mm", "wall_mm", "tolerance_mm", "under_percent"),
    [
        # EN 10305-1 (od memory; wall 10 %, at least 0.1 mm, secondary).
        ("en-10305-4", 30, 3, 0.08, 10),
        ("en-10305-4", 35, 3, 0.15, 10),
        ("en-10305-4", 42, 3, 0.20, 10),
        ("en-10305-4", 22, 0.5, 0.08, 20),  # 0.1 mm of 0.5 mm
        # ASTM A450 (secondary), borrowed, with the 12.5 % mill tolerance (secondary).
        ("en-10216-5", 25, 3, 0.10, 12.5),
        ("en-10216-5", 28, 2, 0.15, 12.5),
        ("en-10216-5", 42, 3, 0.20, 12.5),
        ("astm-b165", 25.4, 2.1082, 0.15, 12.5),
        ("astm-b165", 38.1, 3.048, 0.15, 12.5),
        # ASTM A269 (secondary).
        ("astm-a269", 9.525, 0.889, 0.13, 15),
        ("astm-a269", 12.7, 1.651, 0.13, 10),
        ("astm-a269", 38.1, 3.048, 0.25, 10),
        # SAE J526 (secondary): 0.003 in, 0.004 in; above 5/8 in ASTM A450.
        ("sae-j524", 9.525, 0.889, 0.0762, 10),
        ("sae-j525", 12.7, 1.651, 0.1016, 10),
        ("sae-j525", 15.875, 1.651, 0.1016, 10),
        ("sae-j525", 19.05, 1.651, 0.10, 10),
    ],
)
def test_tolerance(
    standard: str, od_mm: float, wall_mm: float, tolerance_mm: float, under_percent: float
) -> None:
    row = tube(standard, od_mm, wall_mm)
    assert row.od_tolerance_mm == tolerance_mm
    assert row.wall_under_percent == under_percent
    assert row.wall_basis == "nominal"


# The grid of 16 metric tubes on which the rating formulas are compared.
@pytest.mark.parametrize("standard", ["en-10305-4", "en-10216-5"])
@pytest.mark.parametrize(
    ("od_mm", "wall_mm"),
    [
        *[(6, 1), (8, 1), (10, 1.5), (12, 1.5), (12, 2), (15, 1.5), (16, 2), (18, 1.5)],
        *[(20, 2), (22, 2), (25, 3), (28, 2), (30, 3), (35, 3), (38, 4), (42, 3)],
    ],
)
def test_the_grid_is_covered(standard: str, od_mm: float, wall_mm: float) -> None:
    assert (standard, size_key(od_mm), size_key(wall_mm)) in TUBES


@pytest.mark.parametrize("row", rows(Target), ids=lambda row: row.ref)
def test_a_target_can_be_met(row: Target) -> None:
    at = size_key(row.od_mm)
    standards = {m.standard for m in rows(Material) if m.family == row.family and m.preset}
    assert any(
        t.standard in standards
        and size_key(t.od_mm) == at
        and row.wall_min_mm <= t.wall_mm <= row.wall_max_mm
        for t in rows(Tube)
    )
    assert any(s.series == row.series and size_key(s.od_mm) == at for s in rows(Size))
    system = {s.id: s.system for s in rows(Series)}[row.series]
    cones = [c for c in rows(Cone) if c.series == row.series and size_key(c.od_mm) == at]
    plates = [p for p in rows(Plate) if p.system == system and size_key(p.od_mm) == at]
    interval = 40 if row.family == "carbon-steel" else 25
    assert {c.presses_between_checks(row.family) for c in cones} - {None} == {interval}
    assert len(plates) == 1
    assert all(cone.rated_force_kn > row.ceiling_kn for cone in cones)
    assert plates[0].rated_force_kn > row.ceiling_kn
    (ring,) = [
        r
        for r in rows(Ring)
        if (r.series, r.ring_style, r.material) == (row.series, row.ring_style, row.family)
        and (r.od_mm is None or size_key(r.od_mm) == at)
        and row.ring in {None, r.id}
    ]
    assert ring.tube_families == (row.family,)
    assert ring.finish == row.finish


@pytest.mark.parametrize("family", ["carbon-steel", "stainless-steel", "nickel-copper"])
def test_every_family_has_tube_for_every_size_that_is_preset(family: Family) -> None:
    # Also for the sizes without a target: there the answer is "no row", not "no tube".
    preset = {s.id for s in rows(Series) if s.preset}
    standards = {m.standard for m in rows(Material) if m.family == family and m.preset}
    ods = {size_key(t.od_mm) for t in rows(Tube) if t.standard in standards}
    assert {size_key(s.od_mm) for s in rows(Size) if s.series in preset} <= ods


def band(kind: NeighbourKind, od_mm: float) -> tuple[float, float]:
    (row,) = [n for n in rows(Neighbour) if n.kind == kind and n.od_mm == od_mm]
    return od_mm - row.od_tolerance_mm, od_mm + row.od_tolerance_mm


@pytest.mark.parametrize(
    ("metric_mm", "inch_mm", "low_mm", "high_mm"),
    [
        # 16 +-0.08 and 15.875 +-0.1016; 38 +-0.15 and 38.1 +-0.15.
        (16, 15.875, 15.920, 15.9766),
        (38, 38.1, 37.95, 38.15),
        # 8 +-0.08 and 7.9375 +-0.0762: a perfect 8.00 mm lies inside.
        (8, 7.9375, 7.92, 8.0137),
    ],
)
def test_near_sizes_overlap(
    metric_mm: float, inch_mm: float, low_mm: float, high_mm: float
) -> None:
    metric, inch = band("metric", metric_mm), band("inch", inch_mm)
    assert max(metric[0], inch[0]) == pytest.approx(low_mm, abs=1e-9)
    assert min(metric[1], inch[1]) == pytest.approx(high_mm, abs=1e-9)


def test_a_perfect_8_mm_is_also_a_legal_five_sixteenths() -> None:
    low, high = band("inch", 7.9375)
    assert low < 8.0 < high


def test_pipe_neighbours() -> None:
    pipes = [(n.od_mm, n.od_tolerance_mm) for n in rows(Neighbour) if n.kind == "pipe"]
    ods = (10.2, 13.5, 17.2, 21.3, 26.9, 33.7, 42.4, 48.3)
    assert pipes == [(od_mm, 0.4) for od_mm in ods]


def test_every_od_of_a_size_is_a_neighbour() -> None:
    assert {s.od_mm for s in rows(Size)} <= {n.od_mm for n in rows(Neighbour)}
