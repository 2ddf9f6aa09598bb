"""Whether tube, fitting and seal of the assembly can be rated and carry the pressure asked."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.quantities import FACTOR, above, in_mpa
from catalog.questions import AnswerUnits
from catalog.rows import AnyRow, Material
from catalog.rules.raised import Raised, apart, length, temperature, told
from catalog.setup.rating import RatedLine, bent
from catalog.setup.tube import TubeSetup

_PRESSURE = "/service/working_pressure"
_PEAK = "/service/peak_pressure"


def end_form(line: RatedLine) -> Iterator[Raised]:
    """A rating covers the cone end only; the other end of the body may be the weaker."""
    other, rating = line.fitting.facts.other_end, line.fitting.facts.other_end_rating
    if other == "rated" and rating is UNSET:
        message = "the other end of the body has a rating of its own, which is not stated"
        yield Raised("fitting.other-end-missing", "/fitting/other_end_rating", message)
    elif other is UNSET and rating is UNSET:
        message = "the rating covers this end only: the other end of the body may be the weaker"
        yield Raised("fitting.end-form", "/fitting/other_end", message)


def quality_missing(line: RatedLine) -> Iterator[Raised]:
    """A tube with a weld along it is rated with the quality factor of the weld."""
    material = line.tube.material
    if material is not None and line.tube.quality is None:
        yield weld_not_counted(material, "/tube/quality_factor")


def bend_not_counted(line: RatedLine) -> Iterator[Raised]:
    """A bend without its radius is rated at the tightest that the shop makes."""
    rating, service, limits = line.rating, line.service, line.limits
    tube = line.tube
    if not tube.has_bend_without_radius:
        return
    if tube.od_mm is None or service.counted_mpa is None or tube.row is None:
        return  # what is not known has a finding of its own
    if limits is None:
        message = "a bend is stated without its radius, and the tightest of the shop is not known"
        yield Raised("tube.bend-missing", "/tube/bends", message)
        return
    tightest_mm = limits.tightest_bend_ods * tube.od_mm
    at_tightest = bent(rating, tube, service, tightest_mm)
    shown = f"{length(line, tightest_mm)}, the tightest bend that the shop makes"
    if at_tightest.carries(service.counted_mpa):
        message = f"a bend is stated without its radius: at {shown}, the tube would carry it"
        yield Raised("tube.bend-not-counted", "/tube/bends", message, (limits,))
    elif rating.carries(service.counted_mpa):
        message = f"a bend is stated without its radius, and at {shown}, it would be too weak"
        yield Raised("tube.bend-missing", "/tube/bends", message, (limits,))


def no_wall_left(line: RatedLine) -> Iterator[Raised]:
    """Corrosion and tolerance may leave nothing to carry a pressure."""
    rating = line.rating
    if 0.0 in (rating.wall_mm, rating.least_wall_mm, rating.din_wall_mm):
        at = "/service/corrosion_allowance"
        yield wall_gone(line.tube, line.service.corrosion_mm, at, line.units)


def over_tube_rating(line: RatedLine) -> Iterator[Raised]:
    """The pressure that counts is compared with the tube, static, and pulsating where it pulses."""
    rating = line.rating
    static = "ISO 10763, factor 4" if rating.static_method == "iso-10763" else "ASME B31.3"
    for limit_mpa, how in (
        (rating.static_mpa, static),
        (rating.pulsating_mpa, "DIN 2413 pulsating"),
    ):
        of_wall = None if how.startswith("ISO") else line.tube.row
        rows = tuple(r for r in (rating.strength, of_wall) if r is not None)
        if line.tube.quality is None:
            how = f"{how}, even without a weld"
        yield from _over(line, "service.over-tube-rating", limit_mpa, f"tube ({how})", rows)


def yield_margin(line: RatedLine) -> Iterator[Raised]:
    """The bore must not yield in the proof test of the line."""
    service, yield_at_mpa = line.service, line.rating.yield_at_mpa
    yield from bore_yields(
        line.tube,
        service.counted_mpa,
        service.proof_factor,
        yield_at_mpa,
        _PRESSURE,
        line.units,
    )


def no_strength_data(line: RatedLine) -> Iterator[Raised]:
    """Beyond the last row of a grade, or without its yield, its strength is not known."""
    rating, service, material = line.rating, line.service, line.tube.material
    if material is None or service.temp_c is None:
        return
    strength, at = rating.strength, temperature(line, service.temp_c)
    if strength is None or (strength.tensile_mpa is None and strength.allowable_mpa is None):
        message = f"no strength to rate by of `{material.id}` at {at} in this revision"
        yield Raised("service.no-strength-data", "/service/temperature", message, (material,))
    if material.yield_mpa is None:
        message = f"no yield strength of `{material.id}` in this revision"
        yield Raised("service.no-strength-data", "/tube/material", message, (material,))


def static_out_of_range(line: RatedLine) -> Iterator[Raised]:
    """Where ASME B31.3 alone has a stress so hot, a wall beyond its range is not rated."""
    rating, service, tube = line.rating, line.service, line.tube
    if service.temp_c is None:
        return
    if rating.static_mpa is not None or rating.strength is None or not rating.least_wall_mm:
        return
    if rating.strength.allowable_mpa is not None and tube.od_mm is not None:
        at, od = temperature(line, service.temp_c), length(line, tube.od_mm)
        message = (
            f"wall {length(line, rating.least_wall_mm)} at its least, limit below a sixth of the "
            f"od {od}: of `{rating.strength.material}` at {at}, only the stress of ASME B31.3 is "
            "known, which holds up to there"
        )
        yield Raised("tube.method-out-of-range", "/tube/wall", message, (rating.strength,))


def no_fatigue_data(line: RatedLine) -> Iterator[Raised]:
    """A pulsating line needs an endurance strength, and nothing stands in for it."""
    rating, service, material = line.rating, line.service, line.tube.material
    if material is None or service.facts.pulsating is not True or service.temp_c is None:
        return
    if rating.strength is None or rating.strength.endurance_mpa is None:
        message = f"no endurance strength of `{material.id}` in this revision"
        yield Raised("service.no-fatigue-data", "/service/pulsating", message, (material,))


def over_fitting_rating(line: RatedLine) -> Iterator[Raised]:
    """The pressure that counts is compared with the fitting, derated for the temperature.

    Where the derating is not known, what is more than the cold rating is too much all the same.
    """
    rating, size = line.rating, line.fitting.size
    if size is None or size.rated_pressure_bar is None:
        return
    rows = tuple(r for r in (size, rating.derating) if r is not None)
    limit_mpa, what = size.rated_pressure_bar * FACTOR["bar"], "fitting at its coldest"
    if rating.fitting_mpa is not None:
        limit_mpa, what = rating.fitting_mpa, "fitting"
    yield from _over(line, "service.over-fitting-rating", limit_mpa, what, rows)


def rating_unknown(line: RatedLine) -> Iterator[Raised]:
    """A size without a rated pressure cannot be judged."""
    size = line.fitting.size
    if size is not None and size.rated_pressure_bar is None:
        message = f"{size.designation} has no rated pressure in this revision"
        yield Raised("fitting.rating-unknown", "/fitting/series", message, (size,))


def derating_unknown(line: RatedLine) -> Iterator[Raised]:
    """Beyond the last derating row the fitting's rating is not known."""
    ring, temp_c = line.fitting.ring, line.service.temp_c
    if ring is not None and temp_c is not None and line.rating.derating is None:
        at = temperature(line, temp_c)
        message = f"no derating of `{ring.material}` fittings at {at} in this revision"
        yield Raised("service.derating-unknown", "/service/temperature", message, (ring,))


def over_seal_rating(line: RatedLine) -> Iterator[Raised]:
    """Where the seal of a ring has a rating of its own, it counts too."""
    if line.fitting.ring is not None:
        rows = (line.fitting.ring,)
        yield from _over(line, "service.over-seal-rating", line.rating.seal_mpa, "seal", rows)


def over_other_end(line: RatedLine) -> Iterator[Raised]:
    """The rating stated for the other end of the body counts too."""
    other = line.fitting.facts.other_end_rating
    if other is not UNSET:
        yield from _over(line, "service.over-other-end", in_mpa(other), "other end", ())


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
    line: RatedLine, code: str, limit_mpa: float | None, what: str, rows: tuple[AnyRow, ...]
) -> Iterator[Raised]:
    service = line.service
    if service.counted_mpa is None or limit_mpa is None:
        return
    if above(service.counted_mpa, limit_mpa):
        counted, limit = apart(service.counted_mpa, limit_mpa, "MPa", line.units.pressure)
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
