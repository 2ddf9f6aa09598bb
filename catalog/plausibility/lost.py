"""What rows that are gone did for others: a near size that was looked out for, limits of an end."""

from collections.abc import Iterable, Mapping

from catalog.families import tubes_of_families, widest
from catalog.plausibility.doubt import Doubt, doubt
from catalog.plausibility.naming import listed
from catalog.quantities import size_key
from catalog.revision import Revision, rows_of
from catalog.rows import Neighbour, Preparation, Series, Size, Tube, number_text
from catalog.terms import System


def lost_doubts(revision: Revision, before: Revision) -> list[Doubt]:
    """Strong doubts about what is not looked out for any more, though no row of its own is gone."""
    return [*_near_sizes_lost(revision, before), *_limits_lost(revision, before)]


def _near_sizes_lost(revision: Revision, before: Revision) -> Iterable[Doubt]:
    """One doubt for each family of which a tube may now pass for another size."""
    beside = _neighbours(revision)
    now = tubes_of_families(revision)
    for family, rows in tubes_of_families(before).items():
        standing = {tube.ref for tube in now.get(family, ())}
        left = widest(now.get(family, ()))
        lost: dict[Tube, list[str]] = {}
        for od, tube in widest(rows).items():
            reach = max(left[od].od_tolerance_mm if od in left else 0.0, beside.get(od, 0.0))
            met = _met_by(tube, left)
            if tube.ref not in standing and tube.od_tolerance_mm > reach and met:
                lost[tube] = met
        if lost:
            told = [f"{number_text(t.od_mm)} mm beside {listed(met)}" for t, met in lost.items()]
            yield doubt(
                "rows-gone",
                "strong",
                (tube.ref for tube in lost),
                "",
                f"no {family} tube is looked out for any more as {', '.join(told)}: a tube that "
                "measures like both is not asked for its marking or certificate",
                "keep the rows, or see that no such tube can come to the bench",
                about=f"near-size/{family}",
            )


def _neighbours(revision: Revision) -> dict[int, float]:
    """Tolerance of each od of the neighbours; a pipe does not stand beside a tube in its band."""
    rows = (row for row in rows_of(revision, Neighbour) if row.kind != "pipe")
    ordered = sorted(rows, key=lambda row: row.od_tolerance_mm)
    return {size_key(row.od_mm): row.od_tolerance_mm for row in ordered}


def _met_by(tube: Tube, others: Mapping[int, Tube]) -> list[str]:
    """Other sizes that a reading may fit as well: the bands meet, whatever the caliper adds."""
    at = size_key(tube.od_mm)
    return [
        f"{number_text(other.od_mm)} mm"
        for od, other in others.items()
        if od != at
        and abs(od - at) <= size_key(tube.od_tolerance_mm) + size_key(other.od_tolerance_mm)
    ]


def _limits_lost(revision: Revision, before: Revision) -> Iterable[Doubt]:
    """One doubt for each system of which sizes have no limits of the tube end any more."""
    systems: dict[str, System] = {row.id: row.system for row in rows_of(revision, Series)}
    sizes: dict[System, list[Size]] = {}
    for size in rows_of(revision, Size):
        if size.series in systems:
            sizes.setdefault(systems[size.series], []).append(size)
    for system, rows in sizes.items():
        lost = [
            size.ref
            for size in rows
            if _limited(before, system, size) and not _limited(revision, system, size)
        ]
        if lost:
            yield doubt(
                "rows-gone",
                "strong",
                lost,
                "",
                f"no row of preparation holds for {len(lost)} of {len(rows)} sizes of {system} any "
                f"more: every setup check of them becomes undetermined: {listed(lost)}",
                "send the limits of these tube ends, or say why the bench may stand still",
                about=f"preparation/{system}",
            )


def _limited(revision: Revision, system: System, size: Size) -> bool:
    at = size_key(size.od_mm)
    return any(
        row.system == system and size_key(row.od_min_mm) <= at <= size_key(row.od_max_mm)
        for row in rows_of(revision, Preparation)
    )
