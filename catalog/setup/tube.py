"""The tube of a question, resolved: nominal size in mm, its rows, and what the caliper says."""

from msgspec import UNSET, Struct

from catalog.index import Index
from catalog.quantities import in_mm, size_key
from catalog.questions import TubeFacts
from catalog.rows import Insert, Material, Neighbour, Tube
from catalog.terms import Family, InsertState


class TubeSetup(Struct, frozen=True, kw_only=True):
    """What is known of the tube; None where the question or the revision does not say.

    `insert` is the state that a press target is looked up with, None where it is not settled.
    """

    facts: TubeFacts
    od_mm: float | None
    wall_mm: float | None
    material: Material | None
    row: Tube | None
    insert_row: Insert | None
    insert: InsertState | None

    @property
    def wall_possible(self) -> bool:
        """Whether od and wall are known and leave a bore."""
        if self.od_mm is None or self.wall_mm is None:
            return False
        return 2 * size_key(self.wall_mm) < size_key(self.od_mm)


NO_TUBE = TubeSetup(
    facts=TubeFacts(),
    od_mm=None,
    wall_mm=None,
    material=None,
    row=None,
    insert_row=None,
    insert=None,
)


def resolve_tube(index: Index, facts: TubeFacts) -> TubeSetup:
    """Tube of a question on an index."""
    od_mm = None if facts.od is UNSET else in_mm(facts.od)
    wall_mm = None if facts.wall is UNSET else in_mm(facts.wall)
    material = None if facts.material is UNSET else index.materials.get(facts.material)
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

    The caliper's uncertainty is taken off the own band and added to the neighbours': a reading that
    the caliper cannot settle counts against the tube.
    """

    measured_mm: float
    uncertainty_mm: float
    in_own_band: bool
    also_fits: tuple[Neighbour | Tube, ...]


def calipered(
    index: Index, facts: TubeFacts, row: Tube | None, uncertainty_mm: float
) -> Caliper | None:
    """Reading of the caliper, None where nothing was measured or the tube's band is not known."""
    if facts.measured_od is UNSET or row is None:
        return None
    measured_mm = in_mm(facts.measured_od)
    family = None if facts.material is UNSET else index.materials[facts.material].family
    if facts.caliper_uncertainty is not UNSET:
        uncertainty_mm = in_mm(facts.caliper_uncertainty)
    own = size_key(row.od_mm)
    at = size_key(measured_mm)
    half = size_key(row.od_tolerance_mm) - size_key(uncertainty_mm)
    slack = size_key(uncertainty_mm)
    return Caliper(
        measured_mm=measured_mm,
        uncertainty_mm=uncertainty_mm,
        in_own_band=abs(at - own) <= half,
        also_fits=_fitting_sizes(index, family, own, at, slack),
    )


def _fitting_sizes(
    index: Index, family: Family | None, own: int, at: int, slack: int
) -> tuple[Neighbour | Tube, ...]:
    """Other sizes that a reading fits, one row an od: a neighbour, else a tube of this family.

    The standards of a family differ in tolerance, and a neighbour's row knows one of them: a tube
    by the widest of them may measure like this size too.
    """
    tubes = () if family is None else index.widest.get(family, ())
    rows: tuple[Neighbour | Tube, ...] = (*index.neighbours, *tubes)
    fits: dict[int, Neighbour | Tube] = {}
    for row in rows:
        key = size_key(row.od_mm)
        if key != own and abs(at - key) <= size_key(row.od_tolerance_mm) + slack:
            fits.setdefault(key, row)
    return tuple(fits.values())
