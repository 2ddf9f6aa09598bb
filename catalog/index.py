"""Look up in one compiled revision: every row by its keys, every reference known to hold.

INVARIANT: an index is never changed after it is compiled, and holds one revision only, so an answer
that reads one index cannot mix two revisions.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from typing import Generic, Self, TypeVar

from msgspec import Struct

from catalog.provenance import Provenance
from catalog.quantities import size_key
from catalog.rows import (
    Case,
    Caution,
    Coating,
    Cone,
    CutMethod,
    Derating,
    Fluid,
    Gauge,
    Insert,
    Material,
    Neighbour,
    Plate,
    Preparation,
    Press,
    Ring,
    Series,
    Size,
    Source,
    Strength,
    Target,
    Tube,
    key_of,
)
from catalog.standing import ACTIVE, Standing
from catalog.terms import Family, InsertState, RingStyle, System

Sized = TypeVar("Sized", Neighbour, Tube)


class AlongOd(Struct, Generic[Sized], frozen=True, eq=False):
    """Sizes along the od, as `size_key`, so that those near a reading are found without the rest.

    `loosest` has the widest tolerance of them.
    """

    rows: tuple[Sized, ...]
    keys: tuple[int, ...]
    loosest: Sized | None

    @classmethod
    def of(cls, rows: Iterable[Sized]) -> Self:
        """These sizes in the order of their od."""
        ordered = tuple(sorted(rows, key=lambda row: row.od_mm))
        loosest = max(ordered, key=lambda row: (row.od_tolerance_mm, row.ref), default=None)
        return cls(ordered, tuple(size_key(row.od_mm) for row in ordered), loosest)

    def near(self, at: int, within: int) -> tuple[Sized, ...]:
        """Sizes that are no farther from an od."""
        return self.rows[bisect_left(self.keys, at - within) : bisect_right(self.keys, at + within)]

    def fitting(self, at: int, slack: int) -> list[Sized]:
        """Sizes in whose tolerance, widened by the slack, an od is."""
        reach = 0 if self.loosest is None else size_key(self.loosest.od_tolerance_mm)
        return [
            row
            for row in self.near(at, reach + slack)
            if abs(at - size_key(row.od_mm)) <= size_key(row.od_tolerance_mm) + slack
        ]


class Index(Struct, frozen=True, kw_only=True, eq=False):
    """Every table of a revision by the keys that answers ask for; sizes are `size_key` numbers.

    `words` are the ids of each table that a question names rows of, with the other names of grades.
    `standing` is what the office has since said of the revision; it is the only part that is not
    made from its tables.
    """

    revision: str
    standing: Standing = ACTIVE
    sources: dict[str, Source]
    provenance: Provenance
    materials: dict[str, Material]
    material_names: dict[str, Material]
    strengths: dict[str, tuple[Strength, ...]]
    tubes: dict[tuple[str, int, int], Tube]
    neighbours: AlongOd[Neighbour]
    widest: dict[Family, AlongOd[Tube]]
    series: dict[str, Series]
    sizes: dict[tuple[str, int], Size]
    ods_of_series: dict[str, tuple[float, ...]]
    derating: dict[Family, tuple[Derating, ...]]
    rings: dict[str, Ring]
    ring_sets: dict[tuple[str, RingStyle, Family], tuple[Ring, ...]]
    ring_sets_of_size: dict[tuple[str, RingStyle, Family, int | None], tuple[Ring, ...]]
    inserts: dict[tuple[Family, int], Insert]
    presses: dict[str, Press]
    gauges: dict[str, Gauge]
    pairs: tuple[tuple[Press, Gauge], ...]
    cones: dict[str, Cone]
    cones_of_size: dict[tuple[str, int], tuple[Cone, ...]]
    plates: dict[str, Plate]
    plates_of_size: dict[tuple[System, int], tuple[Plate, ...]]
    targets: dict[tuple[str, int, Family, RingStyle, str | None], tuple[Target, ...]]
    graded: frozenset[tuple[str, RingStyle, str]]
    preparation: dict[System, tuple[Preparation, ...]]
    cut_methods: dict[str, CutMethod]
    coatings: dict[str, Coating]
    fluids: dict[str, Fluid]
    words: dict[str, tuple[str, ...]]
    cautions: dict[str, Caution]
    cases: tuple[Case, ...]

    def tube(self, standard: str, od_mm: float, wall_mm: float) -> Tube | None:
        """Tube of exactly this od and wall in this standard."""
        return self.tubes.get((standard, size_key(od_mm), size_key(wall_mm)))

    def strength(self, material: str, temp_c: float) -> Strength | None:
        """Strength row that counts at a temperature: the next hotter one, none beyond the last."""
        rows = self.strengths.get(material, ())
        at = bisect_left(rows, round(temp_c, 6), key=lambda row: row.temp_c)
        return rows[at] if at < len(rows) else None

    def derated(self, family: Family, temp_c: float) -> Derating | None:
        """Derating row that counts at a temperature: the next hotter one, none beyond the last."""
        rows = self.derating.get(family, ())
        at = bisect_left(rows, round(temp_c, 6), key=lambda row: row.temp_max_c)
        return rows[at] if at < len(rows) else None

    def material(self, name: str) -> Material | None:
        """Grade by its id, else by another of its names, in small or large letters."""
        return self.materials.get(name) or self.material_names.get(name.casefold())

    def sizes_like(
        self, material: Material | None
    ) -> tuple[AlongOd[Neighbour] | AlongOd[Tube], ...]:
        """Sizes that a tube may be taken for: every neighbour, and the tubes of its family."""
        tubes = None if material is None else self.widest.get(material.family)
        return (self.neighbours,) if tubes is None else (self.neighbours, tubes)

    def rings_of(
        self, series: str, ring_style: RingStyle, material: Family, od_mm: float | None
    ) -> tuple[Ring, ...]:
        """Ring sets of a series, style and material that cover an od; all where none is known."""
        of = series, ring_style, material
        if od_mm is None:
            return self.ring_sets.get(of, ())
        any_od = self.ring_sets_of_size.get((*of, None), ())
        own = self.ring_sets_of_size.get((*of, size_key(od_mm)), ())
        return tuple(sorted((*any_od, *own), key=key_of)) if any_od and own else any_od or own

    def bands(
        self, series: str, od_mm: float, material: Material, ring_style: RingStyle, ring: str
    ) -> tuple[Target, ...]:
        """Targets of a size, thin walls first; the wall and the insert pick one of them or none.

        The most particular key binds: a grade that has a row of its own anywhere in this series and
        ring style takes no row of its family.
        """
        own = (series, ring_style, material.id) in self.graded
        grade = material.id if own else None
        rows = self.targets.get((series, size_key(od_mm), material.family, ring_style, grade), ())
        return tuple(row for row in rows if row.ring is None or row.ring == ring)

    def limits(self, system: System, od_mm: float) -> Preparation | None:
        """Preparation limits that hold for an od in a system."""
        rows, at = self.preparation.get(system, ()), size_key(od_mm)
        n = bisect_left(rows, at, key=lambda row: size_key(row.od_max_mm))
        return rows[n] if n < len(rows) and size_key(rows[n].od_min_mm) <= at else None


def band_for(bands: Sequence[Target], wall_mm: float, insert: InsertState) -> Target | None:
    """Target whose wall band, closed on both sides, holds this nominal wall with this insert."""
    at = size_key(wall_mm)
    for row in bands:
        thin, thick = row.wall_keys
        if thin <= at <= thick and row.insert == insert:
            return row
    return None
