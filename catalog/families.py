"""Tubes of a family by whatever standard: what a question does not say may be any of them."""

from collections import defaultdict
from collections.abc import Iterable

from catalog.quantities import size_key
from catalog.revision import Revision, rows_of
from catalog.rows import Material, Tube
from catalog.terms import Family


def tubes_of_families(revision: Revision) -> dict[Family, tuple[Tube, ...]]:
    """Tubes of every standard that a family has a material of."""
    standards: dict[Family, set[str]] = defaultdict(set)
    for row in rows_of(revision, Material):
        standards[row.family].add(row.standard)
    tubes = rows_of(revision, Tube)
    return {
        family: tuple(tube for tube in tubes if tube.standard in of)
        for family, of in standards.items()
    }


def widest(tubes: Iterable[Tube]) -> dict[int, Tube]:
    """For each od, as `size_key`, the tube with the widest tolerance of it."""
    ordered = sorted(tubes, key=lambda tube: (tube.od_mm, tube.od_tolerance_mm))
    return {size_key(tube.od_mm): tube for tube in ordered}
