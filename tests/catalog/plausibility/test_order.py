"""Which rows have an order, and which have none."""

from catalog.plausibility.forces import forces_of
from catalog.plausibility.order import falling_share, pairs_of
from tests.publish.slips import shipped, targets


def _named() -> dict[str, set[tuple[str, str]]]:
    forces = forces_of(shipped())
    refs = [row.ref for row in forces.rows]
    return {
        p.kind: {(refs[a], refs[b]) for a, b in zip(p.low, p.high, strict=True)}
        for p in pairs_of(forces, shipped())
    }


def test_pairs_rise_in_od_wall_and_strength() -> None:
    named = _named()
    row = {r.ref: r for r in targets()}
    for low, high in named["force-falls-with-od"]:
        assert row[low].od_mm < row[high].od_mm
        assert row[low].wall_min_mm <= row[high].wall_min_mm
        for part in ("series", "family", "grade", "insert"):
            assert getattr(row[low], part) == getattr(row[high], part)
    for low, high in named["force-falls-with-wall"]:
        assert row[low].od_mm == row[high].od_mm
        assert row[low].wall_min_mm < row[high].wall_min_mm
    for low, high in named["force-falls-with-strength"]:
        tubes = {(row[at].family, row[at].grade) for at in (low, high)}
        assert len(tubes) == 2
        assert (row[high].family, row[high].grade) != ("carbon-steel", None)


def test_an_insert_on_the_weaker_tube_alone_settles_nothing() -> None:
    row = {r.ref: r for r in targets()}
    for low, high in _named()["force-falls-with-strength"]:
        assert (row[low].insert, row[high].insert) != ("fitted", "none")


def test_no_shipped_force_falls() -> None:
    forces = forces_of(shipped())
    pairs = pairs_of(forces, shipped())
    assert falling_share(pairs, forces.force) == 0
    # The other way round nearly every one does: the counting itself works.
    assert falling_share(pairs, -forces.force) > 0.8
