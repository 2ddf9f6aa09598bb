"""A tube rating resolved: for each method its stress, its wall, its pressure, its required wall.

A stress given in the question is used as it is, with no tolerance or factor that it does not name.
"""

from collections.abc import Mapping
from typing import Final

from msgspec import UNSET, Struct, structs

from catalog.calc import asme
from catalog.calc.stress import design_stress_mpa, welded_stress_mpa
from catalog.calc.tube_section import din_2413_under_percent
from catalog.facts import PROOF_FACTOR
from catalog.index import Index
from catalog.quantities import above, in_deg_c, in_mm, in_mpa
from catalog.questions import Received, TubeFacts, TubeRatingQuestion
from catalog.rows import Strength
from catalog.setup.methods import DIN_2413_STATIC_HOT, WAYS, Way
from catalog.setup.tube import TubeSetup, resolve_tube
from catalog.terms import Method

ROOM_C: Final = 20.0
"""Room temperature, where the question names none [degC]."""
HOT_C: Final = 120.0
"""Temperature up to which the static form of DIN 2413 on the outside diameter holds [degC]."""
MOST_OD_MM: Final = 1000.0
"""Outside diameter up to which a tube is rated here [mm]."""


class Rated(Struct, frozen=True, kw_only=True):
    """One method on this tube; None where it cannot be told.

    `applies` is false beyond the limits of the method, `carries` where no wall of this od would do.
    """

    method: Method
    way: Way
    strength_mpa: float | None
    factor: float
    stress_mpa: float | None
    under_percent: float
    wall_mm: float | None
    pressure_mpa: float | None
    applies: bool
    required_wall_mm: float | None
    carries: bool


class TubeRatingSetup(Struct, frozen=True, kw_only=True):
    """A tube rating with its rows and numbers.

    `quality` is None where it must be stated: what is rated is then what the tube carries at the
    most, which refuses, and is not told.
    """

    question: TubeRatingQuestion
    received: Received | None
    words: Mapping[str, tuple[str, ...]]
    tube: TubeSetup
    quality: float | None
    strength: Strength | None
    temp_c: float
    asked_mpa: float | None
    corrosion_mm: float
    proof_factor: float
    under_percent: float
    least_wall_mm: float | None
    yield_at_mpa: float | None
    rated: tuple[Rated, ...]


def tube_rating_setup(
    index: Index, question: TubeRatingQuestion, received: Received | None = None
) -> TubeRatingSetup:
    """Rating of a tube by every method asked, each asked once."""
    asked = question.tube
    tube_setup = resolve_tube(
        index,
        TubeFacts(
            od=asked.od,
            wall=asked.wall,
            material=asked.material,
            quality_factor=question.quality_factor,
        ),
    )
    quality = tube_setup.quality
    if quality is None and question.allowable_stress is not UNSET:
        quality = 1.0
    temp_c = ROOM_C if question.temperature is UNSET else in_deg_c(question.temperature)
    material = tube_setup.material
    strength = None if material is None else index.strength(material.id, temp_c)
    corrosion = question.corrosion_allowance
    corrosion_mm = 0.0 if corrosion is UNSET else in_mm(corrosion)
    under = _yield_under(question, tube_setup)
    least_mm = tube_setup.wall_left_mm(under, corrosion_mm)
    return TubeRatingSetup(
        question=question,
        received=received,
        words=index.words,
        tube=tube_setup,
        quality=quality,
        strength=strength,
        temp_c=temp_c,
        asked_mpa=None if question.pressure is UNSET else in_mpa(question.pressure),
        corrosion_mm=corrosion_mm,
        proof_factor=PROOF_FACTOR if question.proof_factor is UNSET else question.proof_factor,
        under_percent=0.0 if under is None else under,
        least_wall_mm=least_mm,
        yield_at_mpa=tube_setup.yield_at_mpa(least_mm),
        rated=tuple(
            _rated(method, question, tube_setup, strength, temp_c, corrosion_mm)
            for method in dict.fromkeys(question.methods)
        ),
    )


def _under(question: TubeRatingQuestion, tube_setup: TubeSetup, way: Way) -> float | None:
    """Under-tolerance that a method counts [%], None where it is not known.

    DIN 2413 at the strength of a grade counts its own where that is more, as in an assembly.
    """
    if way.counts == "nominal" or question.allowable_stress is not UNSET:
        stated = question.wall_under_tolerance_percent
        return 0.0 if stated is UNSET else stated
    under, od_mm = _yield_under(question, tube_setup), tube_setup.od_mm
    if way.counts == "least" or under is None or od_mm is None:
        return under
    return max(under, din_2413_under_percent(od_mm))


def _yield_under(question: TubeRatingQuestion, tube_setup: TubeSetup) -> float | None:
    """Under-tolerance at the bore's yield [%]: that of the tube, whatever stress is given."""
    if question.wall_under_tolerance_percent is not UNSET:
        return question.wall_under_tolerance_percent
    return tube_setup.under_percent


def _rated(
    method: Method,
    question: TubeRatingQuestion,
    tube_setup: TubeSetup,
    strength: Strength | None,
    temp_c: float,
    corrosion_mm: float,
) -> Rated:
    way = _way(method, question, temp_c)
    strength_mpa, divisor = _strength(question, way, strength)
    stress_mpa = None
    if strength_mpa is not None:
        stress_mpa = design_stress_mpa(strength_mpa, divisor)
        if way.formula is not asme.ASME_B31_3:  # which counts the weld itself
            stress_mpa = welded_stress_mpa(stress_mpa, tube_setup.most_quality)
    under = _under(question, tube_setup, way)
    wall_mm = tube_setup.wall_left_mm(under, corrosion_mm)
    pressure_mpa = _pressure(way, stress_mpa, tube_setup.od_mm, wall_mm)
    applies = _applies(question, way, pressure_mpa, stress_mpa, tube_setup.od_mm, wall_mm)
    required_mm, carries = _required(question, way, stress_mpa, tube_setup.od_mm)
    if required_mm is not None and not _applies(
        question,
        way,
        None if question.pressure is UNSET else in_mpa(question.pressure),
        stress_mpa,
        tube_setup.od_mm,
        required_mm,
    ):
        required_mm, applies = None, False
    if required_mm is not None and under is not None:
        required_mm = (required_mm + corrosion_mm) / (1 - under / 100)
        # The nominal wall with its allowances must still leave a bore.
        carries = tube_setup.od_mm is not None and above(tube_setup.od_mm, 2 * required_mm)
    return Rated(
        method=method,
        way=way,
        strength_mpa=strength_mpa,
        factor=divisor,
        stress_mpa=stress_mpa,
        under_percent=0.0 if under is None else under,
        wall_mm=wall_mm,
        pressure_mpa=pressure_mpa,
        applies=applies,
        required_wall_mm=required_mm if carries and under is not None else None,
        carries=carries,
    )


def _strength(
    question: TubeRatingQuestion, way: Way, strength: Strength | None
) -> tuple[float | None, float]:
    given, factor = question.allowable_stress, question.design_factor
    if given is not UNSET:
        return in_mpa(given), 1.0 if factor is UNSET else factor
    strength_mpa: float | None = None if strength is None else getattr(strength, way.strength)
    # A design factor is on the tensile strength; the other methods have factors of their own.
    if way.strength != "tensile_mpa" or factor is UNSET:
        return strength_mpa, way.factor
    return strength_mpa, factor


def _way(method: Method, question: TubeRatingQuestion, temp_c: float) -> Way:
    if method == "asme-b31.3":
        quality, weld, y = asme_factors(question)
        return structs.replace(
            WAYS[method],
            rate=lambda s, d, t: asme.asme_b31_3_mpa(s, d, t, quality, weld, y),
            wall=lambda p, s, d: asme.asme_b31_3_wall_mm(p, s, d, quality, weld, y),
        )
    return (
        DIN_2413_STATIC_HOT
        if method == "din-2413-static" and above(temp_c, HOT_C)
        else WAYS[method]
    )


def asme_factors(question: TubeRatingQuestion) -> tuple[float, float, float]:
    """Quality factor, weld factor and Y of ASME B31.3, as named or 1, 1 and 0.4."""
    return (
        1.0 if question.quality_factor is UNSET else question.quality_factor,
        1.0 if question.weld_factor is UNSET else question.weld_factor,
        0.4 if question.y_coefficient is UNSET else question.y_coefficient,
    )


def _pressure(
    way: Way, stress_mpa: float | None, od_mm: float | None, wall_mm: float | None
) -> float | None:
    if stress_mpa is None or od_mm is None or wall_mm is None:
        return None
    return 0.0 if wall_mm == 0 else way.rate(stress_mpa, od_mm, wall_mm)


def _applies(
    question: TubeRatingQuestion,
    way: Way,
    pressure_mpa: float | None,
    stress_mpa: float | None,
    od_mm: float | None,
    wall_mm: float | None,
) -> bool:
    """Whether the method holds; ASME B31.3 asks for another form beyond its limits."""
    if way.formula is not asme.ASME_B31_3:
        return True
    if not pressure_mpa or stress_mpa is None or od_mm is None or not wall_mm:
        return True
    quality, weld, _ = asme_factors(question)
    return asme.asme_b31_3_applies(pressure_mpa, stress_mpa, od_mm, wall_mm, quality, weld)


def _required(
    question: TubeRatingQuestion, way: Way, stress_mpa: float | None, od_mm: float | None
) -> tuple[float | None, bool]:
    if question.pressure is UNSET or stress_mpa is None or od_mm is None:
        return None, True
    try:
        return way.wall(in_mpa(question.pressure), stress_mpa, od_mm), True
    except ValueError:
        return None, False
