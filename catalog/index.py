"""Look up in one compiled revision: every row by its keys, every reference known to hold.

INVARIANT: an index is never changed after it is compiled, and holds one revision only, so an answer
that reads one index cannot mix two revisions.
"""

from bisect import bisect_left
from collections.abc import Sequence

from msgspec import Struct

from catalog.quantities import size_key
from catalog.rows import (
    Case,
    Caution,
    Cone,
    Derating,
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
)
from catalog.standing import ACTIVE, Standing
from catalog.terms import Family, Grade, InsertState, RingStyle, System


class FormulaGrades(Struct, frozen=True, eq=False):
    """Grade of every source that a formula rests on; equal to itself alone, as a row is."""

    of: dict[str, Grade]


class Index(Struct, frozen=True, kw_only=True):
    """Every table of a revision by the keys that answers ask for; sizes are `size_key` numbers.

    `standing` is what the office has since said of the revision; it is the only part that is not
    made from its tables.
    """

    revision: str
    standing: Standing = ACTIVE
    sources: dict[str, Source]
    formula_grades: FormulaGrades
    materials: dict[str, Material]
    strengths: dict[str, tuple[Strength, ...]]
    tubes: dict[tuple[str, int, int], Tube]
    neighbours: tuple[Neighbour, ...]
    widest: dict[Family, tuple[Tube, ...]]
    series: dict[str, Series]
    sizes: dict[tuple[str, int], Size]
    ods_of_series: dict[str, tuple[float, ...]]
    derating: dict[Family, tuple[Derating, ...]]
    rings: dict[str, Ring]
    ring_sets: dict[tuple[str, RingStyle, Family], Ring]
    inserts: dict[tuple[Family, int], Insert]
    presses: dict[str, Press]
    gauges: dict[str, Gauge]
    pairs: tuple[tuple[Press, Gauge], ...]
    cones: dict[str, Cone]
    cones_of_size: dict[tuple[str, int], tuple[Cone, ...]]
    plates: dict[str, Plate]
    plates_of_size: dict[tuple[System, int], tuple[Plate, ...]]
    targets: dict[tuple[str, int, Family, RingStyle], tuple[Target, ...]]
    preparation: dict[System, tuple[Preparation, ...]]
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

    def bands(
        self, series: str, od_mm: float, family: Family, ring_style: RingStyle
    ) -> tuple[Target, ...]:
        """Targets of a size, thin walls first; the wall and the insert pick one of them or none."""
        return self.targets.get((series, size_key(od_mm), family, ring_style), ())

    def limits(self, system: System, od_mm: float) -> Preparation | None:
        """Preparation limits that hold for an od in a system."""
        at = size_key(od_mm)
        for row in self.preparation.get(system, ()):
            if size_key(row.od_min_mm) <= at <= size_key(row.od_max_mm):
                return row
        return None


def band_for(bands: Sequence[Target], wall_mm: float, insert: InsertState) -> Target | None:
    """Target whose wall band, closed on both sides, holds this nominal wall with this insert."""
    at = size_key(wall_mm)
    for row in bands:
        if row.insert == insert and size_key(row.wall_min_mm) <= at <= size_key(row.wall_max_mm):
            return row
    return None
