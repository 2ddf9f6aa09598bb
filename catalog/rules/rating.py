"""Whether tube, fitting and seal of the assembly can be rated and carry the pressure asked."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.quantities import FACTOR, above, in_mpa
from catalog.questions import AnswerUnits
from catalog.rows import AnyRow, Material
from catalog.rules.raised import Raised, apart, length, temperature, told
from catalog.setup.rating import bent
from catalog.setup.resolving import Setup
from catalog.setup.tube import TubeSetup

_PRESSURE = "/service/working_pressure"
_PEAK = "/service/peak_pressure"


def quality_missing(setup: Setup) -> Iterator[Raised]:
    """A tube with a weld along it is rated with the quality factor of the weld."""
    material = setup.tube.material
    if setup.rating is not None and material is not None and setup.tube.quality is None:
        yield weld_not_counted(material, "/tube/quality_factor")


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
    rating, service = setup.rating, setup.service
    if rating is None or service is None:
        return
    if 0.0 in (rating.wall_mm, rating.least_wall_mm, rating.din_wall_mm):
        at = "/service/corrosion_allowance"
        yield wall_gone(setup.tube, service.corrosion_mm, at, setup.units)


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
        if setup.tube.quality is None:
            how = f"{how}, even without a weld"
        yield from _over(setup, "service.over-tube-rating", limit_mpa, f"tube ({how})", rows)


def yield_margin(setup: Setup) -> Iterator[Raised]:
    """The bore must not yield in the proof test of the line."""
    rating, service = setup.rating, setup.service
    if rating is None or service is None:
        return
    yield from bore_yields(
        setup.tube,
        service.counted_mpa,
        service.proof_factor,
        rating.yield_at_mpa,
        _PRESSURE,
        setup.units,
    )


def no_strength_data(setup: Setup) -> Iterator[Raised]:
    """Beyond the last row of a grade, or without its yield, its strength is not known."""
    rating, service, material = setup.rating, setup.service, setup.tube.material
    if rating is None or service is None or material is None or service.temp_c is None:
        return
    strength, at = rating.strength, temperature(setup, service.temp_c)
    if strength is None or (strength.tensile_mpa is None and strength.allowable_mpa is None):
        message = f"no strength to rate by of `{material.id}` at {at} in this revision"
        yield Raised("service.no-strength-data", "/service/temperature", message, (material,))
    if material.yield_mpa is None:
        message = f"no yield strength of `{material.id}` in this revision"
        yield Raised("service.no-strength-data", "/tube/material", message, (material,))


def static_out_of_range(setup: Setup) -> Iterator[Raised]:
    """Where ASME B31.3 alone has a stress so hot, a wall beyond its range is not rated."""
    rating, service, tube = setup.rating, setup.service, setup.tube
    if rating is None or service is None or service.temp_c is None:
        return
    if rating.static_mpa is not None or rating.strength is None or not rating.least_wall_mm:
        return
    if rating.strength.allowable_mpa is not None and tube.od_mm is not None:
        at, od = temperature(setup, service.temp_c), length(setup, tube.od_mm)
        message = (
            f"wall {length(setup, rating.least_wall_mm)} at its least, limit below a sixth of the "
            f"od {od}: of `{rating.strength.material}` at {at}, only the stress of ASME B31.3 is "
            "known, which holds up to there"
        )
        yield Raised("tube.method-out-of-range", "/tube/wall", message, (rating.strength,))


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
    limit_mpa, what = size.rated_pressure_bar * FACTOR["bar"], "fitting at its coldest"
    if rating.fitting_mpa is not None:
        limit_mpa, what = rating.fitting_mpa, "fitting"
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


def weld_not_counted(material: Material, at: str) -> Raised:
    """What a grade that may be welded raises while the quality factor of its weld is not stated."""
    message = f"`{material.id}` may have a weld along it, and its quality factor is not stated"
    return Raised("tube.quality-factor-missing", at, message, (material,))


def wall_gone(tube: TubeSetup, corrosion_mm: float, at: str, units: AnswerUnits) -> Raised:
    """What a tube raises that corrosion and tolerance leave no wall."""
    lost, wall = (told(mm, "mm", units.length) for mm in (corrosion_mm, tube.wall_mm or 0.0))
    message = f"{lost} of corrosion leaves nothing of a wall of {wall} at its least"
    return Raised("tube.no-wall-left", at, message, () if tube.row is None else (tube.row,))


def bore_yields(
    tube: TubeSetup,
    counted_mpa: float | None,
    proof_factor: float,
    yield_at_mpa: float | None,
    at: str,
    units: AnswerUnits,
) -> Iterator[Raised]:
    """What a tube raises whose bore yields under the proof pressure."""
    if counted_mpa is None or yield_at_mpa is None:
        return
    proof_mpa = counted_mpa * proof_factor
    if above(proof_mpa, yield_at_mpa):
        proof, limit = apart(proof_mpa, yield_at_mpa, "MPa", units.pressure)
        message = f"proof pressure {proof} ({proof_factor:g} x) yields the bore, limit {limit}"
        rows = tuple(r for r in (tube.material, tube.row) if r is not None)
        yield Raised("tube.yield-margin", at, message, rows)


def _over(
    setup: Setup, code: str, limit_mpa: float | None, what: str, rows: tuple[AnyRow, ...]
) -> Iterator[Raised]:
    service = setup.service
    if service is None or service.counted_mpa is None or limit_mpa is None:
        return
    if above(service.counted_mpa, limit_mpa):
        counted, limit = apart(service.counted_mpa, limit_mpa, "MPa", setup.units.pressure)
        at, which = (_PEAK, "a peak of ") if service.is_peak_counted else (_PRESSURE, "")
        yield Raised(code, at, f"{which}{counted}, limit of the {what} {limit}", rows)


RATING_RULES = (
    quality_missing,
    bend_not_counted,
    no_wall_left,
    over_tube_rating,
    yield_margin,
    no_strength_data,
    static_out_of_range,
    no_fatigue_data,
    over_fitting_rating,
    rating_unknown,
    derating_unknown,
    over_seal_rating,
    over_other_end,
)
