"""Whether the forming cone and the thrust plate belong to this size, tube and force."""

from collections.abc import Iterator
from typing import get_args

from msgspec import UNSET, UnsetType

from catalog.facts import stated
from catalog.quantities import above, size_key
from catalog.rows import Cone, Plate
from catalog.rules.group import Group
from catalog.rules.raised import Raised, apart, force_limit, tool_at
from catalog.setup.fitting import presses_between_checks
from catalog.setup.pressing import forces
from catalog.setup.resolving import Setup
from catalog.setup.tube_end import Tooled, TubeEnd
from catalog.terms import Family

_CONE = "/tooling/cone"
_PLATE = "/tooling/plate"


def cone_od(on: Tooled) -> Iterator[Raised]:
    """The cone must be of the od of the tube."""
    cone, od_mm = on.cone, on.end.tube.od_mm
    if cone is not None and od_mm is not None and size_key(cone.od_mm) != size_key(od_mm):
        message = _of_another_od(on.end, cone, od_mm)
        yield Raised("tooling.cone-od", _CONE, message, (cone,))


def _of_another_od(end: TubeEnd, tool: Cone | Plate, od_mm: float) -> str:
    own, other = apart(tool.od_mm, od_mm, "mm", end.units.length)
    return f"`{tool.id}` is for od {own}, not {other}"


def cone_series(on: Tooled) -> Iterator[Raised]:
    """The cone must be of the series of the fitting."""
    cone, series = on.cone, on.end.fitting.series
    if cone is not None and series is not None and cone.series != series.id:
        message = f"`{cone.id}` is for series {cone.series}, not {series.id}"
        yield Raised("tooling.cone-series", _CONE, message, (cone,))


def cone_family(on: Tooled) -> Iterator[Raised]:
    """A cone that has touched one metal may spoil another: each has the families it may touch."""
    cone, material = on.cone, on.end.tube.material
    if cone is None or material is None:
        return
    if cone.presses_between_checks(material.family) is None:
        message = f"`{cone.id}` must not touch `{material.family}`"
        yield Raised("tooling.cone-family", _CONE, message, (cone,))


def cone_check_overdue(setup: Setup) -> Iterator[Raised]:
    """The press that is set up is one use more: it must still be within the check interval."""
    cone, material = setup.cone, setup.tube.material
    plain, by_family = setup.tool_state.cone_uses_since_check, _uses(setup)
    if cone is None or material is None or (plain is UNSET and not by_family):
        return
    uses = max(0 if plain is UNSET else plain, sum(by_family.values()))
    # Where families were mixed, the smaller interval counts.
    families = {material.family, *(family for family, count in by_family.items() if count)}
    limit = presses_between_checks(cone, families)
    if limit is not None and uses + 1 > limit:
        message = f"this would be use {uses + 1} of `{cone.id}` since its check, limit {limit}"
        at = "/tool_state/cone_uses"
        if plain is not UNSET:
            at = tool_at(setup.day, cone.id, "uses_since_check", "cone_uses_since_check")
        yield Raised("tooling.cone-check-overdue", at, message, (cone,))


def cone_uses_unknown(setup: Setup) -> Iterator[Raised]:
    """Counts by family say something only where they count every family, and no other."""
    cone, by_family = setup.cone, _uses(setup)
    if cone is None or setup.tool_state.cone_uses is UNSET:
        return
    for family in get_args(Family):
        may_touch = cone.presses_between_checks(family) is not None
        message = ""
        if may_touch and family not in by_family:
            message = f"the uses of `{cone.id}` on {family} since its check are not stated"
        elif not may_touch and by_family.get(family):
            message = f"`{cone.id}` has pressed {family}, which it must not touch: have it checked"
        if message:
            yield Raised("tooling.cone-uses-unknown", "/tool_state/cone_uses", message, (cone,))


def cone_check_due_in_batch(setup: Setup) -> Iterator[Raised]:
    """A check that falls inside the presses of a line is planned before it is met."""
    cone, material = setup.cone, setup.tube.material
    uses, ends = setup.tool_state.cone_uses_since_check, stated(setup.question, "/quantity")
    if cone is None or material is None or ends is UNSET:
        return
    limit = presses_between_checks(cone, (material.family,))
    if limit is None:
        return
    message = ""
    if uses is UNSET and limit < ends:
        message = f"`{cone.id}` is checked every {limit} presses, and these are {ends}"
    elif uses is not UNSET and uses < limit < uses + ends:
        message = (
            f"`{cone.id}` has {uses} uses since its check, limit {limit}: it is reached after "
            f"{limit - uses} of these {ends} presses"
        )
    if message:
        yield Raised("tooling.cone-check-due-in-batch", "/quantity", message, (cone,))


def cone_family_mixed(setup: Setup) -> Iterator[Raised]:
    """Particles of another metal, pressed into stainless tube, let it corrode."""
    cone, material, by_family = setup.cone, setup.tube.material, _uses(setup)
    if cone is None or material is None or material.family != "stainless-steel":
        return
    others = [family for family, count in by_family.items() if count and family != material.family]
    if others:
        message = f"`{cone.id}` has pressed {' and '.join(others)} since its check"
        yield Raised("tooling.cone-family-mixed", "/tool_state/cone_uses", message, (cone,))


def _uses(setup: Setup) -> dict[Family, int]:
    counted = setup.tool_state.cone_uses
    if counted is UNSET:
        return {}
    by_family: dict[Family, int | UnsetType] = {
        "carbon-steel": counted.carbon_steel,
        "stainless-steel": counted.stainless_steel,
        "nickel-copper": counted.nickel_copper,
    }
    return {family: count for family, count in by_family.items() if count is not UNSET}


def plate_od(on: Tooled) -> Iterator[Raised]:
    """The plate must be of the od of the tube."""
    plate, od_mm = on.plate, on.end.tube.od_mm
    if plate is not None and od_mm is not None and size_key(plate.od_mm) != size_key(od_mm):
        message = _of_another_od(on.end, plate, od_mm)
        yield Raised("tooling.plate-od", _PLATE, message, (plate,))


def plate_system(on: Tooled) -> Iterator[Raised]:
    """The plate must be of the system of the series."""
    plate, series = on.plate, on.end.fitting.series
    if plate is not None and series is not None and plate.system != series.system:
        message = f"`{plate.id}` is for {plate.system}, series {series.id} is {series.system}"
        yield Raised("tooling.plate-system", _PLATE, message, (plate,))


def force_rating(on: Tooled) -> Iterator[Raised]:
    """Cone and plate must bear every force of the band."""
    if on.end.target is None:
        return
    high_kn = forces(on.end.target).high_kn
    for tool, at in ((on.cone, _CONE), (on.plate, _PLATE)):
        if tool is not None and above(high_kn, tool.rated_force_kn):
            message = (
                f"the force band goes beyond `{tool.id}`, limit its rated force "
                f"{force_limit(on.end, tool.rated_force_kn)}"
            )
            yield Raised("tooling.force-rating", at, message, (tool, on.end.target))


def no_tool_for_size(on: Tooled) -> Iterator[Raised]:
    """Where the catalog picks the tools itself, each must exist for this size and family."""
    series, material = on.end.fitting.series, on.end.tube.material
    if not on.is_picked or on.end.fitting.size is None or series is None:
        return
    if material is None or not material.preset:
        return
    size = on.end.fitting.size
    if on.cone is None:
        message = f"no forming cone for {size.designation} that may touch `{material.family}`"
        yield Raised("tooling.cone-unknown", _CONE, message, (size,))
    if on.plate is None:
        message = f"no thrust plate for {size.designation}"
        yield Raised("tooling.plate-unknown", _PLATE, message, (size,))


TOOLING_RULES = (
    Group(Tooled, (cone_od, cone_series, cone_family), lasting=True),
    Group(
        Setup,
        (cone_check_overdue, cone_uses_unknown, cone_check_due_in_batch, cone_family_mixed),
    ),
    Group(Tooled, (plate_od, plate_system, force_rating, no_tool_for_size), lasting=True),
)
