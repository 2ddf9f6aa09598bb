"""Whether tube, fitting and seal of the assembly can be rated and carry the pressure asked."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.quantities import FACTOR, above, in_mpa
from catalog.rows import AnyRow
from catalog.rules.raised import Raised, apart, length, temperature
from catalog.setup.rating import bent
from catalog.setup.resolving import Setup

_PRESSURE = "/service/working_pressure"


def quality_missing(setup: Setup) -> Iterator[Raised]:
    """A tube with a weld along it is rated with the quality factor of the weld."""
    rating, material = setup.rating, setup.tube.material
    if rating is not None and material is not None and rating.quality is None:
        message = f"`{material.id}` may have a weld along it, and its quality factor is not stated"
        at = "/tube/quality_factor"
        yield Raised("tube.quality-factor-missing", at, message, (material,))


def bend_not_counted(setup: Setup) -> Iterator[Raised]:
    """A bend without its radius is rated at the tightest that the shop makes."""
    rating, service, limits = setup.rating, setup.service, setup.limits
    tube = setup.tube
    if rating is None or service is None or not tube.has_bend_without_radius:
        return
    if tube.od_mm is None or service.counted_mpa is None or tube.row is None:
        return  # what is not known has a finding of its own
    if limits is None:
        message = "a bend is stated without its radius, and the tightest of the shop is not known"
        yield Raised("tube.bend-missing", "/tube/bends", message)
        return
    tightest_mm = limits.tightest_bend_ods * tube.od_mm
    at_tightest = bent(rating, tube, service, tightest_mm)
    shown = f"{length(setup, tightest_mm)}, the tightest bend that the shop makes"
    if at_tightest.carries(service.counted_mpa):
        message = f"a bend is stated without its radius: at {shown}, the tube would carry it"
        yield Raised("tube.bend-not-counted", "/tube/bends", message, (limits,))
    elif rating.carries(service.counted_mpa):
        message = f"a bend is stated without its radius, and at {shown}, it would be too weak"
        yield Raised("tube.bend-missing", "/tube/bends", message, (limits,))


def no_wall_left(setup: Setup) -> Iterator[Raised]:
    """Corrosion and tolerance may leave nothing to carry a pressure."""
    rating, service, tube = setup.rating, setup.service, setup.tube
    if rating is None or service is None or tube.wall_mm is None:
        return
    if rating.wall_mm == 0 or rating.least_wall_mm == 0:
        message = (
            f"{length(setup, service.corrosion_mm)} of corrosion leaves nothing of a wall of "
            f"{length(setup, tube.wall_mm)} at its least"
        )
        rows = () if tube.row is None else (tube.row,)
        yield Raised("tube.no-wall-left", "/service/corrosion_allowance", message, rows)


def over_tube_rating(setup: Setup) -> Iterator[Raised]:
    """The pressure that counts is compared with the tube, static, and pulsating where it pulses."""
    rating = setup.rating
    if rating is None:
        return
    static = "ISO 10763, factor 4" if rating.static_method == "iso-10763" else "ASME B31.3"
    for limit_mpa, how in (
        (rating.static_mpa, static),
        (rating.pulsating_mpa, "DIN 2413 pulsating"),
    ):
        of_wall = None if how.startswith("ISO") else setup.tube.row
        rows = tuple(r for r in (rating.strength, of_wall) if r is not None)
        yield from _over(setup, "service.over-tube-rating", limit_mpa, f"tube ({how})", rows)


def yield_margin(setup: Setup) -> Iterator[Raised]:
    """The bore must not yield in the proof test of the line."""
    rating, service, tube = setup.rating, setup.service, setup.tube
    if rating is None or service is None or service.counted_mpa is None:
        return
    if not rating.yield_at_mpa:
        return
    proof_mpa = service.counted_mpa * service.proof_factor
    if above(proof_mpa, rating.yield_at_mpa):
        proof, limit = apart(proof_mpa, rating.yield_at_mpa, "MPa", setup.units.pressure)
        message = (
            f"proof pressure {proof} ({service.proof_factor:g} x) yields the bore, limit {limit}"
        )
        rows = tuple(r for r in (tube.material, tube.row) if r is not None)
        yield Raised("tube.yield-margin", _PRESSURE, message, rows)


def no_strength_data(setup: Setup) -> Iterator[Raised]:
    """Beyond the last row of a grade, or without its yield, its strength is not known."""
    rating, service, material = setup.rating, setup.service, setup.tube.material
    if rating is None or service is None or material is None or service.temp_c is None:
        return
    if rating.quality is None:
        return  # a weld without its factor has a finding of its own
    if rating.static_mpa is None and setup.tube.wall_possible:
        message = (
            f"no strength to rate by of `{material.id}` at {temperature(setup, service.temp_c)} "
            "in this revision"
        )
        yield Raised("service.no-strength-data", "/service/temperature", message, (material,))
    if material.yield_mpa is None:
        message = f"no yield strength of `{material.id}` in this revision"
        yield Raised("service.no-strength-data", "/tube/material", message, (material,))


def no_fatigue_data(setup: Setup) -> Iterator[Raised]:
    """A pulsating line needs an endurance strength, and nothing stands in for it."""
    rating, service, material = setup.rating, setup.service, setup.tube.material
    if rating is None or service is None or material is None:
        return
    if service.facts.pulsating is not True or service.temp_c is None:
        return
    if rating.strength is None or rating.strength.endurance_mpa is None:
        message = f"no endurance strength of `{material.id}` in this revision"
        yield Raised("service.no-fatigue-data", "/service/pulsating", message, (material,))


def over_fitting_rating(setup: Setup) -> Iterator[Raised]:
    """The pressure that counts is compared with the fitting, derated for the temperature.

    Where the derating is not known, what is more than the cold rating is too much all the same.
    """
    rating, size = setup.rating, setup.fitting.size
    if rating is None or size is None or size.rated_pressure_bar is None:
        return
    rows = tuple(r for r in (size, rating.derating) if r is not None)
    limit_mpa, what = rating.fitting_mpa, "fitting"
    if limit_mpa is None:
        limit_mpa, what = size.rated_pressure_bar * FACTOR["bar"], "fitting at its coldest"
    yield from _over(setup, "service.over-fitting-rating", limit_mpa, what, rows)


def rating_unknown(setup: Setup) -> Iterator[Raised]:
    """A size without a rated pressure cannot be judged."""
    size = setup.fitting.size
    if setup.service is not None and size is not None and size.rated_pressure_bar is None:
        message = f"{size.designation} has no rated pressure in this revision"
        yield Raised("fitting.rating-unknown", "/fitting/series", message, (size,))


def derating_unknown(setup: Setup) -> Iterator[Raised]:
    """Beyond the last derating row the fitting's rating is not known."""
    rating, service, ring = setup.rating, setup.service, setup.fitting.ring
    if rating is None or service is None or service.temp_c is None or ring is None:
        return
    if rating.derating is None:
        message = (
            f"no derating of `{ring.material}` fittings at "
            f"{temperature(setup, service.temp_c)} in this revision"
        )
        yield Raised("service.derating-unknown", "/service/temperature", message, (ring,))


def over_seal_rating(setup: Setup) -> Iterator[Raised]:
    """Where the seal of a ring has a rating of its own, it counts too."""
    if setup.rating is not None and setup.fitting.ring is not None:
        rows = (setup.fitting.ring,)
        yield from _over(setup, "service.over-seal-rating", setup.rating.seal_mpa, "seal", rows)


def over_other_end(setup: Setup) -> Iterator[Raised]:
    """The rating stated for the other end of the body counts too."""
    other = setup.fitting.facts.other_end_rating
    if setup.rating is not None and other is not UNSET:
        yield from _over(setup, "service.over-other-end", in_mpa(other), "other end", ())


def _over(
    setup: Setup, code: str, limit_mpa: float | None, what: str, rows: tuple[AnyRow, ...]
) -> Iterator[Raised]:
    service = setup.service
    if service is None or service.counted_mpa is None or not limit_mpa:
        return  # a limit of nothing has its own finding
    if above(service.counted_mpa, limit_mpa):
        counted, limit = apart(service.counted_mpa, limit_mpa, "MPa", setup.units.pressure)
        yield Raised(code, _PRESSURE, f"{counted}, limit of the {what} {limit}", rows)


RATING_RULES = (
    quality_missing,
    bend_not_counted,
    no_wall_left,
    over_tube_rating,
    yield_margin,
    no_strength_data,
    no_fatigue_data,
    over_fitting_rating,
    rating_unknown,
    derating_unknown,
    over_seal_rating,
    over_other_end,
)
