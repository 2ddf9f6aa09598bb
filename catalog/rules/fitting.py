"""Whether the fitting has this size, and whether ring, nut and tube belong together."""

from bisect import bisect_left
from collections.abc import Iterator

from msgspec import UNSET

from catalog.quantities import quantity, size_key
from catalog.rows import number_text
from catalog.rules.raised import Raised
from catalog.setup.tube_end import TubeEnd


def no_such_size(end: TubeEnd) -> Iterator[Raised]:
    """A closed list of a standard says no; where the list is not known to be whole, nobody does."""
    series, od_mm = end.fitting.series, end.tube.od_mm
    if series is None or od_mm is None or end.fitting.size is not None:
        return
    ods_mm = end.fitting.ods_mm
    at = bisect_left(ods_mm, od_mm)
    near_mm = ods_mm[max(at - 2, 0) : at + 2]
    nearest = sorted(near_mm, key=lambda od: (abs(od - od_mm), od))[:2]
    near = " and ".join(_od(end, od) for od in sorted(nearest))
    message = f"series {series.id} has no {_od(end, od_mm)}, nearest {near}"
    from_mm, to_mm = series.complete_from_od_mm, series.complete_to_od_mm
    if (
        from_mm is not None
        and to_mm is not None
        and size_key(from_mm) <= size_key(od_mm) <= size_key(to_mm)
    ):
        yield Raised("fitting.no-such-size", "/tube/od", message, (series,))
    else:
        message = f"the sizes of series {series.id} listed here hold no {_od(end, od_mm)}"
        yield Raised("fitting.size-not-listed", "/tube/od", message, (series,))


def ring_material(end: TubeEnd) -> Iterator[Raised]:
    """The ring must be of a material that is meant for the tube's."""
    stated, material = end.fitting.facts.ring_material, end.tube.material
    if stated is UNSET or material is None:
        return
    ring = end.fitting.ring
    families = (stated,) if ring is None else ring.tube_families
    if material.family not in families:
        rows = (material,) if ring is None else (material, ring)
        what = f"`{stated}` ring" if ring is None else f"ring set `{ring.id}`"
        message = f"{what} on `{material.family}` tube"
        yield Raised("fitting.ring-material", "/fitting/ring_material", message, rows)


def ring_contradiction(end: TubeEnd) -> Iterator[Raised]:
    """A ring set named by id must be of the series, style and material stated."""
    ring, facts = end.fitting.ring, end.fitting.facts
    if ring is None or facts.ring is UNSET:
        return
    od_mm = end.tube.od_mm
    if ring.od_mm is not None and od_mm is not None and size_key(ring.od_mm) != size_key(od_mm):
        message = f"ring set `{ring.id}` is for od {_od(end, ring.od_mm)} alone"
        yield Raised("fitting.ring-contradiction", "/fitting/ring", message, (ring,))
    for what, stated, has in (
        ("series", facts.series, ring.series),
        ("ring_style", facts.ring_style, ring.ring_style),
        ("ring_material", facts.ring_material, ring.material),
    ):
        if stated is not UNSET and stated != has:
            words = what.replace("_", " ")
            message = f"ring set `{ring.id}` has {words} `{has}`, stated is `{stated}`"
            yield Raised("fitting.ring-contradiction", f"/fitting/{what}", message, (ring,))


def ring_missing(end: TubeEnd) -> Iterator[Raised]:
    """Where more than one ring set fits, each has a force of its own."""
    if end.fitting.ring is None and len(end.fitting.rings) > 1 and end.tube.od_mm is not None:
        ids = " or ".join(f"`{ring.id}`" for ring in end.fitting.rings)
        message = f"which ring set is it, {ids}?"
        yield Raised("fitting.ring-missing", "/fitting/ring", message, end.fitting.rings)


def ring_reused(end: TubeEnd) -> Iterator[Raised]:
    """A ring that has cut once does not cut again."""
    if end.fitting.facts.ring_condition == "used":
        yield Raised("fitting.ring-reused", "/fitting/ring_condition", "the ring is used")


def mixed_sources(end: TubeEnd) -> Iterator[Raised]:
    """Ring and nut of two makers are not known to match."""
    facts = end.fitting.facts
    if (
        facts.ring_source is not UNSET
        and facts.nut_source is not UNSET
        and facts.ring_source.strip().casefold() != facts.nut_source.strip().casefold()
    ):
        message = f"ring from `{facts.ring_source}`, nut from `{facts.nut_source}`"
        yield Raised("fitting.mixed-sources", "/fitting/nut_source", message)


def _od(end: TubeEnd, od_mm: float) -> str:
    """Od with every digit, since 0.63 in and 16 mm differ in the fifth."""
    shown = quantity(od_mm, "mm", end.units.length)
    return f"{number_text(shown.value)} {shown.unit}"


FITTING_RULES = (
    no_such_size,
    ring_material,
    ring_contradiction,
    ring_missing,
    ring_reused,
    mixed_sources,
)
