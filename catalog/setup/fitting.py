"""The fitting of a question, resolved: series, size, ring set, and the tooling of that size."""

from collections.abc import Collection, Mapping
from typing import get_args

from msgspec import UNSET, Struct

from catalog.index import Index
from catalog.quantities import size_key
from catalog.questions import CheckedTool, FittingFacts
from catalog.rows import Cone, Plate, Ring, Series, Size
from catalog.terms import Family


class FittingSetup(Struct, frozen=True, kw_only=True):
    """What is known of the fitting; None where the question or the revision does not say.

    `rings` are the sets that it may be: where there are more than one, the question must name it.
    `ring_ids` are those that could stand there instead of one that is not known, the likeliest
    first.
    """

    facts: FittingFacts
    series: Series | None
    size: Size | None
    ods_mm: tuple[float, ...]
    rings: tuple[Ring, ...]
    ring_ids: tuple[str, ...] = ()
    ring: Ring | None


def resolve_fitting(index: Index, facts: FittingFacts, od_mm: float | None) -> FittingSetup:
    """Fitting of a question on an index."""
    series = None if facts.series is UNSET else index.series.get(facts.series)
    size = None
    if series is not None and od_mm is not None:
        size = index.sizes.get((series.id, size_key(od_mm)))
    rings = _rings(index, facts, od_mm)
    return FittingSetup(
        facts=facts,
        series=series,
        size=size,
        ods_mm=() if series is None else index.ods_of_series.get(series.id, ()),
        rings=rings,
        ring_ids=() if rings or facts.ring is UNSET else _ring_ids(index, facts, od_mm),
        ring=rings[0] if len(rings) == 1 else None,
    )


def tooling_of(
    index: Index,
    series: Series | None,
    od_mm: float | None,
    family: Family | None,
    tools: Mapping[str, CheckedTool],
) -> tuple[Cone | None, Plate | None]:
    """Cone that may touch this family, and plate for a size, in this state of the tools.

    Of several cones one whose check is not overdue, then the one that may touch most families, then
    the strongest, then the first id.
    """
    if series is None or od_mm is None or family is None:
        return None, None
    at = size_key(od_mm)
    cones = [
        cone
        for cone in index.cones_of_size.get((series.id, at), ())
        if cone.presses_between_checks(family) is not None
    ]
    plates = index.plates_of_size.get((series.system, at), ())
    return (
        min(cones, key=lambda cone: _choice(cone, family, tools), default=None),
        min(plates, key=lambda row: (-row.rated_force_kn, row.id), default=None),
    )


def presses_between_checks(cone: Cone, families: Collection[Family]) -> int | None:
    """Presses between two checks on tube of these families: the fewest that one of them allows."""
    each = (cone.presses_between_checks(family) for family in families)
    return min((presses for presses in each if presses is not None), default=None)


def _choice(
    cone: Cone, family: Family, tools: Mapping[str, CheckedTool]
) -> tuple[bool, int, float, str]:
    uses = tools[cone.id].uses_since_check if cone.id in tools else UNSET
    limit = presses_between_checks(cone, (family,))
    overdue = uses is not UNSET and limit is not None and uses >= limit
    touched = sum(cone.presses_between_checks(each) is not None for each in get_args(Family))
    return overdue, -touched, -cone.rated_force_kn, cone.id


def _rings(index: Index, facts: FittingFacts, od_mm: float | None) -> tuple[Ring, ...]:
    if facts.ring is not UNSET:
        named = index.rings.get(facts.ring)
        return () if named is None else (named,)
    if facts.series is UNSET or facts.ring_style is UNSET or facts.ring_material is UNSET:
        return ()
    return index.rings_of(facts.series, facts.ring_style, facts.ring_material, od_mm)


def _ring_ids(index: Index, facts: FittingFacts, od_mm: float | None) -> tuple[str, ...]:
    own = None if od_mm is None else size_key(od_mm)

    def differs(ring: Ring) -> tuple[bool, bool, bool, bool]:
        return (
            ring.series != facts.series,
            ring.od_mm is not None and size_key(ring.od_mm) != own,
            ring.ring_style != facts.ring_style,
            ring.material != facts.ring_material,
        )

    return tuple(ring.id for ring in sorted(index.rings.values(), key=differs))
