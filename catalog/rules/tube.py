"""Whether this tube end may carry a ring: size, grade, hardness, seam, coating, wall, od."""

from collections.abc import Iterator
from typing import get_args

from msgspec import UNSET

from catalog.facts import LEAST_BEND_ODS
from catalog.quantities import above, in_mm, quantity
from catalog.rows import Coating, Material, Neighbour, Tube, number_text
from catalog.rules.raised import Raised, length, unknown_id
from catalog.setup.tube import beyond_insert, needs_insert
from catalog.setup.tube_end import TubeEnd
from catalog.terms import Family


def wall_impossible(end: TubeEnd) -> Iterator[Raised]:
    """A wall of half the od or more leaves no bore."""
    od_mm, wall_mm = end.tube.od_mm, end.tube.wall_mm
    if od_mm is not None and wall_mm is not None and not end.tube.wall_possible:
        message = (
            f"wall {length(end, wall_mm)} leaves no bore in od {length(end, od_mm)}, "
            f"limit below {length(end, od_mm / 2)}"
        )
        yield Raised("tube.wall-impossible", "/tube/wall", message)


def size_not_listed(end: TubeEnd) -> Iterator[Raised]:
    """Without its row the tolerances of a tube are not known."""
    tube = end.tube
    if (
        tube.material is not None
        and tube.wall_possible
        and tube.row is None
        and tube.od_mm is not None
        and tube.wall_mm is not None
    ):
        message = (
            f"{length(end, tube.od_mm)} x {length(end, tube.wall_mm)} is not among the tubes "
            f"of {tube.material.standard} in this revision"
        )
        yield Raised("tube.size-not-listed", "/tube/od", message, (tube.material,))


def material_not_preset(end: TubeEnd) -> Iterator[Raised]:
    """Some grades and conditions are not pressed at all."""
    material = end.tube.material
    if material is not None and not material.preset:
        message = f"`{material.id}` ({material.condition}) is not to be preset"
        yield Raised("tube.material-not-preset", "/tube/material", message, (material,))


def hardness(end: TubeEnd) -> Iterator[Raised]:
    """A hardness is compared with the grade's limit in the scale of that limit only."""
    measured, material = end.tube.facts.hardness, end.tube.material
    if measured is UNSET or material is None:
        return
    shown = f"{measured.value:g} {measured.scale}"
    if material.hardness_max is None:
        message = f"{shown} was not judged: this revision has no limit for `{material.id}`"
        yield Raised("tube.hardness-unjudged", "/tube/hardness", message, (material,))
    elif measured.scale != material.hardness_scale:
        limit = f"the limit is in {material.hardness_scale} for `{material.id}`"
        message = f"{shown} cannot be judged: {limit}"
        yield Raised("tube.hardness-scale", "/tube/hardness", message, (material,))
    elif measured.value > material.hardness_max:
        message = (
            f"hardness {measured.value:g} {measured.scale}, limit {material.hardness_max:g} "
            f"{material.hardness_scale}: the ring would not cut in"
        )
        yield Raised("tube.too-hard", "/tube/hardness", message, (material,))


def coating(end: TubeEnd) -> Iterator[Raised]:
    """A coating under the ring is accepted, refused, or not known."""
    stated, row, material = end.tube.facts.coating, end.tube.coating, end.tube.material
    if stated is UNSET or stated == "none":
        return
    if row is None:
        yield unknown_id(end, "tube.coating-unknown", "/tube/coating", stated, "coatings")
    elif _refused(row, material):
        message = f"`{stated}` coating under the ring"
        yield Raised("tube.coating", "/tube/coating", message, (row,))
    elif material is None:
        return  # a grade that is not known has a finding of its own
    elif material.family in row.families_accepted:
        message = f"the ring bites through the `{stated}` coating"
        yield Raised("tube.coating-accepted", "/tube/coating", message, (row,))
    else:
        message = f"this revision does not say whether a ring bites through `{stated}` coating on "
        message += f"`{material.family}`"
        yield Raised("tube.coating-unknown", "/tube/coating", message, (row,))


def _refused(row: Coating, material: Material | None) -> bool:
    """What is refused on every family is refused whatever the grade is."""
    families = get_args(Family) if material is None else (material.family,)
    return set(families) <= set(row.families_refused)


def weld_bead(end: TubeEnd) -> Iterator[Raised]:
    """A bead left on a welded tube keeps ring and seal from seating."""
    if end.tube.facts.seam == "welded-as-is":
        yield Raised("tube.weld-bead", "/tube/seam", "the weld bead stands on the tube")
    elif end.tube.facts.seam == "unknown":
        yield Raised("tube.weld-bead-unknown", "/tube/seam", "the seam of the tube is not known")


def seam_of_standard(end: TubeEnd) -> Iterator[Raised]:
    """A seam that the grade's standard does not have is a mistake in tube or paper."""
    seam, material = end.tube.facts.seam, end.tube.material
    if seam is UNSET or seam == "unknown" or material is None or seam in material.seams:
        return
    has = ", ".join(material.seams)
    message = f"{material.standard} has no `{seam}` tube, it has {has}"
    yield Raised("tube.standard-contradiction", "/tube/seam", message, (material,))


def straight_length(end: TubeEnd) -> Iterator[Raised]:
    """Ring and nut need a straight piece next to a bend."""
    stated, size = end.tube.facts.straight_length, end.fitting.size
    if stated is UNSET or size is None:
        return
    straight_mm = in_mm(stated)
    if above(size.min_straight_mm, straight_mm):
        message = (
            f"straight length {length(end, straight_mm)}, "
            f"limit at least {length(end, size.min_straight_mm)}"
        )
        yield Raised("tube.straight-length", "/tube/straight_length", message, (size,))


def straight_length_missing(end: TubeEnd) -> Iterator[Raised]:
    """Near a bend the straight piece must be measured."""
    if end.tube.facts.bend == "near-end" and end.tube.facts.straight_length is UNSET:
        message = "the end is near a bend, and its straight length is not stated"
        yield Raised("tube.straight-length-missing", "/tube/straight_length", message)


def bend_too_tight(end: TubeEnd) -> Iterator[Raised]:
    """A tighter bend is flat and thin beyond what any rating counts."""
    tube = end.tube
    if tube.is_bent_too_tight and tube.od_mm is not None and tube.least_radius_mm is not None:
        limit = f"limit {length(end, LEAST_BEND_ODS * tube.od_mm)}, {LEAST_BEND_ODS:g} x od"
        message = f"bend radius {length(end, tube.least_radius_mm)}, {limit}"
        yield Raised("tube.bend-too-tight", "/tube/bends", message)


def bore_below_standard(end: TubeEnd) -> Iterator[Raised]:
    """Below a bore the standard promises no properties."""
    tube, material = end.tube, end.tube.material
    if material is None or material.least_bore_mm is None or not tube.wall_possible:
        return
    if tube.od_mm is None or tube.wall_mm is None:
        return
    inside_mm = tube.od_mm - 2.0 * tube.wall_mm
    if above(material.least_bore_mm, inside_mm):
        message = (
            f"bore {length(end, inside_mm)}, {material.standard} promises properties from "
            f"{length(end, material.least_bore_mm)} on"
        )
        yield Raised("tube.bore-below-standard", "/tube/wall", message, (material,))


def insert(end: TubeEnd) -> Iterator[Raised]:
    """A thin wall needs a support insert, a thinner one is lost even so."""
    tube = end.tube
    if not tube.wall_possible or tube.wall_mm is None or tube.material is None:
        return
    row, wall, stated = tube.insert_row, length(end, tube.wall_mm), tube.facts.insert
    if row is None:
        message = f"this revision has no insert limit for `{tube.material.family}` of this od"
        yield Raised("tube.insert-limit-unknown", "/tube/od", message)
    elif beyond_insert(row, tube.wall_mm):
        limit = length(end, row.useless_below_mm)
        message = f"wall {wall}, limit at least {limit} even with an insert"
        yield Raised("tube.wall-too-thin", "/tube/wall", message, (row,))
    elif needs_insert(row, tube.wall_mm):
        limit = length(end, row.needed_below_mm)
        if stated == "none":
            message = f"wall {wall} needs an insert, limit {limit} without"
            yield Raised("tube.insert-needed", "/tube/insert", message, (row,))
        elif stated is UNSET:
            message = f"wall {wall} needs an insert, limit {limit} without: is one fitted?"
            yield Raised("tube.insert-unknown", "/tube/insert", message, (row,))
    elif stated == "fitted":
        limit = length(end, row.needed_below_mm)
        message = f"wall {wall} calls for no insert, one is needed below {limit}"
        yield Raised("tube.insert-not-called-for", "/tube/insert", message, (row,))


def near_size(end: TubeEnd) -> Iterator[Raised]:
    """A tube that measures like another size may be that size."""
    caliper = end.caliper
    if caliper is None:
        return
    measured = (
        f"measured od {_fine(end, caliper.measured_mm)} "
        f"(caliper +-{length(end, caliper.uncertainty_mm)})"
    )
    own_mm = caliper.own.od_tolerance_mm
    band = f"{_fine(end, caliper.od_mm)} +-{length(end, own_mm)}"
    rows = (caliper.own, *caliper.also_fits)
    away_mm = abs(caliper.measured_mm - caliper.od_mm)
    coarse = above(caliper.uncertainty_mm, own_mm)
    if coarse and not above(away_mm, own_mm + caliper.uncertainty_mm):
        message = f"{measured} cannot be judged against {band}: the caliper is the coarser"
        yield Raised("tube.caliper-too-coarse", "/tube/caliper_uncertainty", message, rows[:1])
        return
    if not caliper.in_own_band:
        less = "" if above(away_mm, own_mm) else ", less what the caliper may be off,"
        if caliper.also_fits:
            fits = " or ".join(_label(other) for other in caliper.also_fits)
            message = f"{measured} is outside {band}{less} and fits {fits}"
            yield Raised("tube.near-size", "/tube/measured_od", message, rows)
        else:
            message = f"{measured} is outside {band}{less}"
            yield Raised("tube.od-out-of-tolerance", "/tube/measured_od", message, rows)
        return
    others = caliper.also_fits
    if others and end.tube.facts.identified_by is UNSET:
        fits = " and ".join(_label(other) for other in others)
        message = f"{measured} is inside {band} and fits {fits} too"
        yield Raised(
            "tube.near-size-ambiguous", "/tube/identified_by", message, (caliper.own, *others)
        )


def _fine(end: TubeEnd, mm: float) -> str:
    """Od as finely as a caliper reads."""
    shown = quantity(mm, "mm", end.units.length)
    return f"{shown.value:.6g} {shown.unit}"


def _label(row: Neighbour | Tube) -> str:
    if isinstance(row, Neighbour):
        return row.label
    return f"{number_text(row.od_mm)} mm by {row.standard}"


TUBE_RULES = (
    wall_impossible,
    size_not_listed,
    material_not_preset,
    hardness,
    coating,
    weld_bead,
    seam_of_standard,
    straight_length,
    straight_length_missing,
    bend_too_tight,
    bore_below_standard,
    insert,
    near_size,
)
