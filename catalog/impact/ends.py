"""Every tube end, and every press with its gauge, that two revisions can be asked about."""

from collections.abc import Iterator

from catalog.impact.shapes import End
from catalog.index import Index
from catalog.quantities import size_key
from catalog.rows import Material, Tube
from catalog.terms import InsertState

_INSERTS: tuple[InsertState, ...] = ("none", "fitted")


def ends_of(*indexes: Index) -> list[End]:
    """Ends of all these revisions together, each once, in order."""
    return sorted({end for index in indexes for end in every_end(index)})


def pairs_of(*indexes: Index) -> list[tuple[str, str]]:
    """Presses with the gauges that fit them, of all these revisions together."""
    return sorted({(press.id, gauge.id) for index in indexes for press, gauge in index.pairs})


def temperatures_of(end: End, *indexes: Index) -> list[float]:
    """Temperatures [degC] up to which a strength of the tube or a derating of the fitting holds."""
    return sorted(
        {row.temp_c for index in indexes for row in index.strengths.get(end.material, ())}
        | {row.temp_max_c for index in indexes for row in index.derating.get(end.ring_material, ())}
    )


def every_end(index: Index) -> Iterator[End]:
    """Ends of a revision one by one; sizes and walls by the tubes of each grade's standard."""
    by_standard: dict[str, list[Tube]] = {}
    for tube in index.tubes.values():
        by_standard.setdefault(tube.standard, []).append(tube)
    sized = set(index.sizes)
    for material in index.materials.values():
        for tube in by_standard.get(material.standard, ()):
            yield from _of_tube(index, material, tube, sized)


def _of_tube(
    index: Index, material: Material, tube: Tube, sized: set[tuple[str, int]]
) -> Iterator[End]:
    for ring in index.rings.values():
        if (ring.series, size_key(tube.od_mm)) not in sized:
            continue
        if material.family not in ring.tube_families:
            continue
        if ring.od_mm is not None and size_key(ring.od_mm) != size_key(tube.od_mm):
            continue
        for insert in _INSERTS:
            yield End(
                series=ring.series,
                od_mm=tube.od_mm,
                wall_mm=tube.wall_mm,
                material=material.id,
                ring_style=ring.ring_style,
                ring_material=ring.material,
                ring=ring.id,
                insert=insert,
            )
