"""Whether a tube can be rated by the methods asked, and whether it carries the pressure asked."""

from collections.abc import Callable, Iterator

from msgspec import UNSET

from catalog.facts import RATING, stated
from catalog.quantities import above, in_mpa
from catalog.rules.day import day_fixed
from catalog.rules.raised import Raised, apart, proof_factor_low, told, unknown_id
from catalog.rules.rating import bore_yields, wall_gone, weld_not_counted
from catalog.setup.tube_rating import MOST_OD_MM, TubeRatingSetup


def facts_missing(setup: TubeRatingSetup) -> Iterator[Raised]:
    """Od, wall, and a grade or a stress."""
    for fact in RATING:
        if stated(setup.question, fact.at) is UNSET:
            yield Raised(fact.code, fact.at, f"{fact.at.rsplit('/', 1)[-1]} is not stated")
    if setup.question.tube.material is UNSET and setup.question.allowable_stress is UNSET:
        message = "neither material nor allowable stress is stated"
        yield Raised("tube.stress-missing", "/tube/material", message)


def material_unknown(setup: TubeRatingSetup) -> Iterator[Raised]:
    """The grade must be one of the revision's materials."""
    material = setup.question.tube.material
    if material is not UNSET and setup.tube.material is None:
        yield unknown_id(setup, "tube.material-unknown", "/tube/material", material, "materials")


def wall_impossible(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A wall of half the od or more leaves no bore."""
    od_mm, wall_mm = setup.tube.od_mm, setup.tube.wall_mm
    if od_mm is not None and wall_mm is not None and not setup.tube.wall_possible:
        message = f"wall {_mm(setup, wall_mm)} leaves no bore, limit below {_mm(setup, od_mm / 2)}"
        yield Raised("tube.wall-impossible", "/tube/wall", message)


def too_large(setup: TubeRatingSetup) -> Iterator[Raised]:
    """Beyond a metre nothing here has been checked."""
    od_mm = setup.tube.od_mm
    if od_mm is not None and above(od_mm, MOST_OD_MM):
        message = f"od {_mm(setup, od_mm)}, limit of what is rated here {_mm(setup, MOST_OD_MM)}"
        yield Raised("tube.method-out-of-range", "/tube/od", message)


def no_wall_left(setup: TubeRatingSetup) -> Iterator[Raised]:
    """Corrosion and tolerance may leave nothing to carry a pressure."""
    walls = [rated.wall_mm for rated in setup.rated]
    if setup.least_wall_mm == 0.0 or 0.0 in walls:
        units = setup.question.answer_in
        yield wall_gone(setup.tube, setup.corrosion_mm, "/corrosion_allowance", units)


def stress_above_strength(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A stress that is given for a known grade must be one that the grade can bear."""
    given, material, strength = (
        setup.question.allowable_stress,
        setup.tube.material,
        setup.strength,
    )
    if given is UNSET or material is None:
        return
    at = told(setup.temp_c, "degC", setup.question.answer_in.temperature)
    if strength is None or strength.tensile_mpa is None:
        message = (
            f"no tensile strength of `{material.id}` at {at}, which the stress is held against"
        )
        yield Raised("service.no-strength-data", "/tube/material", message, (material,))
    elif above(in_mpa(given), strength.tensile_mpa):
        unit = setup.question.answer_in.pressure
        stress, limit = apart(in_mpa(given), strength.tensile_mpa, "MPa", unit)
        message = f"stress {stress}, tensile strength of `{material.id}` at {at} {limit}"
        yield Raised("tube.stress-above-strength", "/allowable_stress", message, (strength,))


def factor_below_usual(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A design factor below that of the method is for those who may agree on it."""
    factor = setup.question.design_factor
    if factor is UNSET or setup.question.allowable_stress is not UNSET:
        return
    for rated in setup.rated:
        if rated.way.strength == "tensile_mpa" and factor < rated.way.factor:
            message = f"design factor {factor:g}, usual for {rated.method} is {rated.way.factor:g}"
            yield Raised("tube.factor-below-usual", "/design_factor", message)


def factor_not_used(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A method with a factor of its own does not count the one that is stated."""
    factor = setup.question.design_factor
    if factor is UNSET or setup.question.allowable_stress is not UNSET:
        return
    for rated in setup.rated:
        if rated.way.strength != "tensile_mpa":
            message = (
                f"design factor {factor:g} is not counted by {rated.method}, whose own is "
                f"{rated.way.factor:g}"
            )
            yield Raised("tube.factor-not-used", "/design_factor", message)


def quality_factor_missing(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A grade that may be welded carries what its seam carries, and that must be stated."""
    if setup.tube.material is not None and setup.quality is None:
        yield weld_not_counted(setup.tube.material, "/quality_factor")


def tolerance_unknown(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A method on the least wall, and the yield margin, need the tolerance of a listed tube."""
    tube = setup.tube
    if tube.material is None or not tube.wall_possible or tube.row is not None:
        return
    if setup.question.wall_under_tolerance_percent is UNSET:
        message = f"not among the tubes of {tube.material.standard}: its tolerance is not known"
        yield Raised("tube.size-not-listed", "/tube/od", message, (tube.material,))


def temperature(setup: TubeRatingSetup) -> Iterator[Raised]:
    """Outside the range of the grade."""
    material = setup.tube.material
    if material is None or setup.question.temperature is UNSET:
        return
    if above(material.temp_min_c, setup.temp_c) or above(setup.temp_c, material.temp_max_c):
        unit = setup.question.answer_in.temperature
        low, high = (told(c, "degC", unit) for c in (material.temp_min_c, material.temp_max_c))
        message = (
            f"{told(setup.temp_c, 'degC', unit)} is outside the range of `{material.id}`, "
            f"limit {low} to {high}"
        )
        yield Raised("service.temperature", "/temperature", message, (material,))


def strength_unknown(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A method needs its own strength at this temperature, and nothing stands in for it."""
    material = setup.tube.material
    if material is None or setup.question.allowable_stress is not UNSET:
        return
    at = told(setup.temp_c, "degC", setup.question.answer_in.temperature)
    for rated in setup.rated:
        if rated.strength_mpa is None:
            what = rated.way.strength.removesuffix("_mpa")
            message = f"no {what} strength of `{material.id}` at {at}, which {rated.method} needs"
            pulsating = rated.way.strength == "endurance_mpa"
            code = "service.no-fatigue-data" if pulsating else "service.no-strength-data"
            yield Raised(code, "/tube/material", message, (material,))


def yield_unknown(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A grade without its yield has no yield margin, whatever stress is given for it."""
    material = setup.tube.material
    if material is not None and material.yield_mpa is None:
        message = f"no yield strength of `{material.id}`: its yield margin is not known"
        yield Raised("service.no-strength-data", "/tube/material", message, (material,))


def method_out_of_range(setup: TubeRatingSetup) -> Iterator[Raised]:
    """Beyond the limits of a method its number means nothing."""
    for rated in setup.rated:
        if not rated.applies:
            message = f"{rated.method} holds for t < D / 6 and p / (S E W) <= 0.385 only"
            yield Raised("tube.method-out-of-range", "/methods", message)


def over_rating(setup: TubeRatingSetup) -> Iterator[Raised]:
    """The pressure asked, against each method."""
    if setup.asked_mpa is None:
        return
    rows = tuple(row for row in (setup.strength, setup.tube.row) if row is not None)
    for rated in setup.rated:
        rating_mpa = rated.pressure_mpa if rated.applies else None
        if rating_mpa is not None and above(setup.asked_mpa, rating_mpa):
            unit = setup.question.answer_in.pressure
            asked, limit = apart(setup.asked_mpa, rating_mpa, "MPa", unit)
            weld = " even without a weld" if setup.quality is None else ""
            message = f"{asked}, limit by {rated.method}{weld} {limit}"
            yield Raised("service.over-tube-rating", "/pressure", message, rows)
        if not rated.carries:
            message = f"no wall of this od carries {_mpa(setup, setup.asked_mpa)} by {rated.method}"
            yield Raised("tube.no-wall-carries", "/pressure", message, rows)


def yield_margin(setup: TubeRatingSetup) -> Iterator[Raised]:
    """The bore must not yield in the proof test."""
    yield from bore_yields(
        setup.tube,
        setup.asked_mpa,
        setup.proof_factor,
        setup.yield_at_mpa,
        "/pressure",
        setup.question.answer_in,
    )


def proof_factor(setup: TubeRatingSetup) -> Iterator[Raised]:
    """A proof factor below the usual one makes the yield margin smaller than it looks."""
    if setup.question.proof_factor is not UNSET:
        yield from proof_factor_low("/proof_factor", setup.question.proof_factor)


def _mm(setup: TubeRatingSetup, mm: float) -> str:
    return told(mm, "mm", setup.question.answer_in.length)


def _mpa(setup: TubeRatingSetup, mpa: float) -> str:
    return told(mpa, "MPa", setup.question.answer_in.pressure)


TubeRatingRule = Callable[[TubeRatingSetup], Iterator[Raised]]

TUBE_RATING_RULES: tuple[TubeRatingRule, ...] = (
    facts_missing,
    material_unknown,
    wall_impossible,
    too_large,
    no_wall_left,
    stress_above_strength,
    factor_below_usual,
    factor_not_used,
    quality_factor_missing,
    tolerance_unknown,
    temperature,
    strength_unknown,
    yield_unknown,
    method_out_of_range,
    over_rating,
    yield_margin,
    proof_factor,
    day_fixed,
)
