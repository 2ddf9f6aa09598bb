"""Whether the fitting has this size, and whether ring, nut and tube belong together."""

from bisect import bisect_left
from collections.abc import Iterator

from msgspec import UNSET

from catalog.quantities import quantity, size_key
from catalog.rows import number_text
from catalog.rules.raised import Raised
from catalog.setup.resolving import Setup


def no_such_size(setup: Setup) -> Iterator[Raised]:
    """A closed list of a standard says no; where the list is not known to be whole, nobody does."""
    series, od_mm = setup.fitting.series, setup.tube.od_mm
    if series is None or od_mm is None or setup.fitting.size is not None:
        return
    ods_mm = setup.fitting.ods_mm
    at = bisect_left(ods_mm, od_mm)
    near_mm = ods_mm[max(at - 2, 0) : at + 2]
    nearest = sorted(near_mm, key=lambda od: (abs(od - od_mm), od))[:2]
    near = " and ".join(_od(setup, od) for od in sorted(nearest))
    message = f"series {series.id} has no {_od(setup, od_mm)}, nearest {near}"
    from_mm, to_mm = series.complete_from_od_mm, series.complete_to_od_mm
    if (
        from_mm is not None
        and to_mm is not None
        and size_key(from_mm) <= size_key(od_mm) <= size_key(to_mm)
    ):
        yield Raised("fitting.no-such-size", "/tube/od", message, (series,))
    else:
        message = f"the sizes of series {series.id} listed here hold no {_od(setup, od_mm)}"
        yield Raised("fitting.size-not-listed", "/tube/od", message, (series,))


def ring_material(setup: Setup) -> Iterator[Raised]:
    """The ring must be of a material that is meant for the tube's."""
    stated, material = setup.fitting.facts.ring_material, setup.tube.material
    if stated is UNSET or material is None:
        return
    ring = setup.fitting.ring
    families = (stated,) if ring is None else ring.tube_families
    if material.family not in families:
        rows = (material,) if ring is None else (material, ring)
        what = f"`{stated}` ring" if ring is None else f"ring set `{ring.id}`"
        message = f"{what} on `{material.family}` tube"
        yield Raised("fitting.ring-material", "/fitting/ring_material", message, rows)


def ring_contradiction(setup: Setup) -> Iterator[Raised]:
    """A ring set named by id must be of the series, style and material stated."""
    ring, facts = setup.fitting.ring, setup.fitting.facts
    if ring is None or facts.ring is UNSET:
        return
    od_mm = setup.tube.od_mm
    if ring.od_mm is not None and od_mm is not None and size_key(ring.od_mm) != size_key(od_mm):
        message = f"ring set `{ring.id}` is for od {_od(setup, ring.od_mm)} alone"
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


def ring_missing(setup: Setup) -> Iterator[Raised]:
    """Where more than one ring set fits, each has a force of its own."""
    if setup.fitting.ring is None and len(setup.fitting.rings) > 1 and setup.tube.od_mm is not None:
        ids = " or ".join(f"`{ring.id}`" for ring in setup.fitting.rings)
        message = f"which ring set is it, {ids}?"
        yield Raised("fitting.ring-missing", "/fitting/ring", message, setup.fitting.rings)


def ring_reused(setup: Setup) -> Iterator[Raised]:
    """A ring that has cut once does not cut again."""
    if setup.fitting.facts.ring_condition == "used":
        yield Raised("fitting.ring-reused", "/fitting/ring_condition", "the ring is used")


def mixed_sources(setup: Setup) -> Iterator[Raised]:
    """Ring and nut of two makers are not known to match."""
    facts = setup.fitting.facts
    if (
        facts.ring_source is not UNSET
        and facts.nut_source is not UNSET
        and facts.ring_source.strip().casefold() != facts.nut_source.strip().casefold()
    ):
        message = f"ring from `{facts.ring_source}`, nut from `{facts.nut_source}`"
        yield Raised("fitting.mixed-sources", "/fitting/nut_source", message)


def end_form(setup: Setup) -> Iterator[Raised]:
    """A rating covers the cone end only; the other end of the body may be the weaker."""
    other, rating = setup.fitting.facts.other_end, setup.fitting.facts.other_end_rating
    if setup.service is not None and other == "rated" and rating is UNSET:
        message = "the other end of the body has a rating of its own, which is not stated"
        yield Raised("fitting.other-end-missing", "/fitting/other_end_rating", message)
    elif setup.service is not None and other is UNSET and rating is UNSET:
        message = "the rating covers this end only: the other end of the body may be the weaker"
        yield Raised("fitting.end-form", "/fitting/other_end", message)


def _od(setup: Setup, od_mm: float) -> str:
    """Od with every digit, since 0.63 in and 16 mm differ in the fifth."""
    shown = quantity(od_mm, "mm", setup.units.length)
    return f"{number_text(shown.value)} {shown.unit}"


FITTING_RULES = (
    no_such_size,
    ring_material,
    ring_contradiction,
    ring_missing,
    ring_reused,
    mixed_sources,
    end_form,
)
