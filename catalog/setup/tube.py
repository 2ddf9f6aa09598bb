"""The tube of a question, resolved: nominal size in mm, its rows, and what the caliper says."""

from typing import Final

from msgspec import UNSET, Struct

from catalog.facts import LEAST_BEND_ODS
from catalog.formulas.formula import LENGTH, PERCENT, PLAIN, PRESSURE
from catalog.formulas.tube import bore_yield, welded_stress
from catalog.formulas.wall import wall_left
from catalog.index import Index
from catalog.quantities import above, in_mm, size_key
from catalog.questions import TubeFacts
from catalog.rows import Coating, Insert, Material, Neighbour, Tube
from catalog.terms import InsertState
from catalog.working import FROM_FORMULA, Num, Working, cell, num

UNDER: Final = "under-tolerance of the wall"
"""What an under-tolerance is called in a working."""


class TubeSetup(Struct, frozen=True, kw_only=True):
    """What is known of the tube; None where the question or the revision does not say.

    `insert` is the state that a press target is looked up with, None where it is not settled.
    """

    facts: TubeFacts
    od_mm: Num | None
    wall_mm: Num | None
    material: Material | None
    row: Tube | None
    insert_row: Insert | None
    insert: InsertState | None
    coating: Coating | None

    @property
    def least_radius_mm(self) -> float | None:
        """Least radius of the bends that are stated with one."""
        bends = () if self.facts.bends is UNSET else self.facts.bends
        return min((in_mm(b.radius) for b in bends if b.radius is not UNSET), default=None)

    @property
    def is_bent_too_tight(self) -> bool:
        """Whether a stated radius is below what any rating counts."""
        if self.od_mm is None or self.least_radius_mm is None:
            return False
        return above(LEAST_BEND_ODS * self.od_mm, self.least_radius_mm)

    @property
    def has_bend_without_radius(self) -> bool:
        """Whether a bend is stated, and not how tight it is."""
        bends = () if self.facts.bends is UNSET else self.facts.bends
        return any(b.radius is UNSET for b in bends) or (
            self.facts.bend == "near-end" and not bends
        )

    @property
    def wall_possible(self) -> bool:
        """Whether od and wall are known and leave a bore."""
        if self.od_mm is None or self.wall_mm is None:
            return False
        # Keys are rounded: two that differ may still be those of a wall of half the od.
        by_key = 2 * size_key(self.wall_mm) < size_key(self.od_mm)
        return by_key and 2 * self.wall_mm < self.od_mm

    @property
    def quality(self) -> float | None:
        """Quality factor of the weld: 1 for seamless tube, None where there may be a weld."""
        facts = self.facts
        if facts.quality_factor is not UNSET:
            return facts.quality_factor
        seams = () if self.material is None else self.material.seams
        return 1.0 if facts.seam == "seamless" or seams == ("seamless",) else None

    @property
    def under_percent(self) -> Num | None:
        """Under-tolerance of the nominal wall, None where no row has this size."""
        if self.row is None:
            return None
        if self.row.wall_basis == "nominal":
            return cell(self.row, "wall_under_percent", UNDER)
        return num(0.0, PERCENT, UNDER, self.row.ref)

    def wall_left(self, w: Working, name: str, under: Num | None, lost: Num) -> Num | None:
        """Wall that tolerance and corrosion leave; 0 and no step where they take it whole."""
        if under is None or not self.wall_possible or self.wall_mm is None:
            return None
        if wall_left(t_nominal=self.wall_mm, u=under, c=lost) <= 0:
            return num(0.0, LENGTH, name, name)
        return w.calc(name, wall_left, t_nominal=self.wall_mm, u=under, c=lost)

    def weld(self, at: str) -> Num:
        """Quality factor, stated at this pointer; of a weld that is not stated the most it can be.

        What is beyond the pressure at the most is refused, and no other is told.
        """
        origin = FROM_FORMULA if self.facts.quality_factor is UNSET else at
        most = 1.0 if self.quality is None else self.quality
        return num(most, PLAIN, "quality factor of the weld", origin)

    def welded(self, w: Working, stress: Num, at: str) -> Num:
        """What the weld leaves of a stress; no step where that is all of it."""
        quality = self.weld(at)
        if quality == 1.0:
            return stress
        return w.calc(f"{stress.of}, that the weld leaves", welded_stress, S=stress, E=quality)

    def yield_at(self, w: Working, wall: Num | None) -> Num | None:
        """Pressure at which the bore begins to yield; 0 and no step where no wall is left."""
        material, name = self.material, "bore yields"
        if material is None or material.yield_mpa is None or wall is None or self.od_mm is None:
            return None
        if wall == 0.0:
            return num(0.0, PRESSURE, name, name)
        cold = cell(material, "yield_mpa", "yield strength, cold")
        return w.calc(name, bore_yield, Re=cold, D=self.od_mm, t=wall)


def resolve_tube(index: Index, facts: TubeFacts) -> TubeSetup:
    """Tube of a question on an index."""
    od_mm = wall_mm = None
    if facts.od is not UNSET:
        od_mm = num(in_mm(facts.od), LENGTH, "od", "/tube/od")
    if facts.wall is not UNSET:
        wall_mm = num(in_mm(facts.wall), LENGTH, "nominal wall", "/tube/wall")
    material = None if facts.material is UNSET else index.material(facts.material)
    row = insert_row = None
    if material is not None and od_mm is not None:
        insert_row = index.inserts.get((material.family, size_key(od_mm)))
        if wall_mm is not None:
            row = index.tube(material.standard, od_mm, wall_mm)
    return TubeSetup(
        facts=facts,
        od_mm=od_mm,
        wall_mm=wall_mm,
        material=material,
        row=row,
        insert_row=insert_row,
        insert=_insert(facts, wall_mm, insert_row),
        coating=None if facts.coating is UNSET else index.coatings.get(facts.coating),
    )


def needs_insert(row: Insert, wall_mm: float) -> bool:
    """Whether the wall is below the one that holds the ring alone; exactly at it, it holds."""
    return size_key(wall_mm) < size_key(row.needed_below_mm)


def beyond_insert(row: Insert, wall_mm: float) -> bool:
    """Whether the wall is too thin even with an insert."""
    return size_key(wall_mm) < size_key(row.useless_below_mm)


def _insert(facts: TubeFacts, wall_mm: float | None, row: Insert | None) -> InsertState | None:
    if row is None or wall_mm is None or beyond_insert(row, wall_mm):
        return None
    if needs_insert(row, wall_mm):
        return "fitted" if facts.insert == "fitted" else None
    return None if facts.insert == "fitted" else "none"


class Caliper(Struct, frozen=True, kw_only=True):
    """A measured od against the tube's own band and those of every size it might be instead.

    `own` is the row whose tolerance the own band has: that of the tube, or where no row is of this
    wall or grade, the row with the widest tolerance that the tube may have. The caliper's
    uncertainty is taken off the own band and added to the neighbours': a reading that the caliper
    cannot settle counts against the tube.
    """

    own: Tube
    od_mm: float
    measured_mm: float
    uncertainty_mm: float
    in_own_band: bool
    also_fits: tuple[Neighbour | Tube, ...]


def calipered(index: Index, tube: TubeSetup, uncertainty_mm: float) -> Caliper | None:
    """Reading of the caliper, None where nothing was measured or the nominal od is not stated."""
    facts, od_mm = tube.facts, tube.od_mm
    row = tube.row if tube.row is not None else _widest(index, tube)
    if facts.measured_od is UNSET or od_mm is None or row is None:
        return None
    measured_mm = in_mm(facts.measured_od)
    if facts.caliper_uncertainty is not UNSET:
        # Nobody measures much better than the shop's caliper.
        uncertainty_mm = max(in_mm(facts.caliper_uncertainty), uncertainty_mm / 2)
    own = size_key(od_mm)
    at = size_key(measured_mm)
    half = size_key(row.od_tolerance_mm) - size_key(uncertainty_mm)
    slack = size_key(uncertainty_mm)
    return Caliper(
        own=row,
        od_mm=od_mm,
        measured_mm=measured_mm,
        uncertainty_mm=uncertainty_mm,
        in_own_band=abs(at - own) <= half,
        also_fits=_fitting_sizes(index, tube.material, own, at, slack),
    )


def _widest(index: Index, tube: TubeSetup) -> Tube | None:
    """Row with the widest tolerance of this od, else of any od; of any family without a grade."""
    families = index.widest if tube.material is None else (tube.material.family,)
    tubes = [index.widest[family] for family in families if family in index.widest]
    own = () if tube.od_mm is None else (size_key(tube.od_mm),)
    of_od = [row for each in tubes for at in own for row in each.near(at, 0)]
    rows = of_od or [each.loosest for each in tubes if each.loosest is not None]
    return max(rows, key=lambda row: (row.od_tolerance_mm, row.ref), default=None)


def _fitting_sizes(
    index: Index, material: Material | None, own: int, at: int, slack: int
) -> tuple[Neighbour | Tube, ...]:
    """Other sizes that a reading fits, one row an od: a neighbour, else a tube of this family.

    The standards of a family differ in tolerance, and a neighbour's row knows one of them: a tube
    by the widest of them may measure like this size too.
    """
    fits: dict[int, Neighbour | Tube] = {}
    for sizes in index.sizes_like(material):
        for row in sizes.fitting(at, slack):
            fits.setdefault(size_key(row.od_mm), row)
    fits.pop(own, None)
    return tuple(fits.values())
