"""A tube rating resolved: for each method its stress, its wall, its pressure, its required wall.

A stress given in the question is used as it is, with no tolerance or factor that it does not name.
"""

from collections.abc import Mapping
from typing import Final

from msgspec import UNSET, Struct, structs

from catalog.facts import PROOF_FACTOR
from catalog.formulas.assembly import proof_limit
from catalog.formulas.formula import LENGTH, PERCENT, PLAIN, PRESSURE, STRESS
from catalog.formulas.tube import asme_b31_3_holds, design_stress
from catalog.formulas.wall import din_2413_under, nominal_wall
from catalog.index import Index
from catalog.quantities import above, in_deg_c, in_mm, in_mpa
from catalog.questions import Received, TubeFacts, TubeRatingQuestion
from catalog.rows import Strength
from catalog.setup.methods import DIN_2413_STATIC_HOT, WAYS, Way
from catalog.setup.tube import UNDER, TubeSetup, resolve_tube
from catalog.terms import Method
from catalog.working import FROM_FORMULA, Num, Step, Working, num

ROOM_C: Final = 20.0
"""Room temperature, where the question names none [degC]."""
HOT_C: Final = 120.0
"""Temperature up to which the static form of DIN 2413 on the outside diameter holds [degC]."""
MOST_OD_MM: Final = 1000.0
"""Outside diameter up to which a tube is rated here [mm]."""
_QUALITY_AT: Final = "/quality_factor"


class Rated(Struct, frozen=True, kw_only=True):
    """One method on this tube; None where it cannot be told.

    `applies` is false beyond the limits of the method, `carries` where no wall of this od would do.
    """

    method: Method
    way: Way
    strength_mpa: Num | None
    stress_mpa: Num | None
    wall_mm: Num | None
    pressure_mpa: Num | None
    applies: bool
    required_wall_mm: Num | None
    carries: bool
    steps: tuple[Step, ...]


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
    asked_mpa: Num | None
    corrosion_mm: Num
    proof_factor: Num
    least_wall_mm: Num | None
    yield_at_mpa: Num | None
    yield_limit_mpa: Num | None
    rated: tuple[Rated, ...]
    yield_steps: tuple[Step, ...]


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
    corrosion, proof = question.corrosion_allowance, question.proof_factor
    lost = num(
        0.0 if corrosion is UNSET else in_mm(corrosion),
        LENGTH,
        "corrosion",
        "/corrosion_allowance",
    )
    factor = num(PROOF_FACTOR if proof is UNSET else proof, PLAIN, "proof factor", "/proof_factor")
    asked_mpa = None
    if question.pressure is not UNSET:
        asked_mpa = num(in_mpa(question.pressure), PRESSURE, "pressure asked", "/pressure")
    w = Working()
    # That of the tube, whatever stress is given.
    least_mm = tube_setup.wall_left(w, "least wall", _tolerance(question, tube_setup), lost)
    yield_at_mpa = tube_setup.yield_at(w, least_mm)
    limit_mpa = None
    if yield_at_mpa:
        limit_mpa = w.calc("yield limit", proof_limit, p_yield=yield_at_mpa, factor=factor)
    setup = TubeRatingSetup(
        question=question,
        received=received,
        words=index.words,
        tube=tube_setup,
        quality=quality,
        strength=strength,
        temp_c=temp_c,
        asked_mpa=asked_mpa,
        corrosion_mm=lost,
        proof_factor=factor,
        least_wall_mm=least_mm,
        yield_at_mpa=yield_at_mpa,
        yield_limit_mpa=limit_mpa,
        yield_steps=() if limit_mpa is None else tuple(w.steps),
        rated=(),
    )
    methods = dict.fromkeys(question.methods)
    return structs.replace(setup, rated=tuple(_rated(setup, method) for method in methods))


def _tolerance(question: TubeRatingQuestion, tube_setup: TubeSetup) -> Num | None:
    """Under-tolerance as stated, else that of the row, None where neither is known."""
    stated = question.wall_under_tolerance_percent
    if stated is UNSET:
        return tube_setup.under_percent
    return num(stated, PERCENT, UNDER, "/wall_under_tolerance_percent")


def _rated(setup: TubeRatingSetup, method: Method) -> Rated:
    way, tube, od = _way(setup, method), setup.tube, setup.tube.od_mm
    more = _b31_factors(setup) if method == "asme-b31.3" else {}
    # Three workings, since each is told only where the one before it may be.
    of_stress, of_pressure, of_wall = Working(), Working(), Working()
    strength, stress = _strength(setup, way), None
    if strength is not None:
        name, factor = f"stress, {method}", _factor(setup, way)
        stress = of_stress.calc(name, design_stress, R=strength, factor=factor)
        if not more:  # ASME B31.3 counts the weld itself
            stress = tube.welded(of_stress, stress, _QUALITY_AT)
    under = _under(of_pressure, setup, method, way)
    wall = tube.wall_left(of_pressure, f"wall counted, {method}", under, setup.corrosion_mm)
    pressure = required = None
    applies = carries = True
    if stress is not None and od is not None:
        if wall == 0.0:
            pressure = num(0.0, PRESSURE, method, method)
        elif wall is not None:
            pressure = of_pressure.calc(method, way.pressure, S=stress, D=od, t=wall, **more)
            applies = _holds(more, pressure, stress, od, wall)
        required, carries, holds = _required(of_wall, setup, method, way, stress, od, under, more)
        applies = applies and holds
    steps = [] if setup.quality is None else of_stress.steps
    if steps and applies and pressure:
        steps += of_pressure.steps
        steps += [] if required is None else of_wall.steps
    return Rated(
        method=method,
        way=way,
        strength_mpa=strength,
        stress_mpa=stress,
        wall_mm=wall,
        pressure_mpa=pressure,
        applies=applies,
        required_wall_mm=required,
        carries=carries,
        steps=tuple(steps),
    )


def _required(
    w: Working,
    setup: TubeRatingSetup,
    method: Method,
    way: Way,
    stress: Num,
    od: Num,
    under: Num | None,
    more: dict[str, Num],
) -> tuple[Num | None, bool, bool]:
    """Nominal wall for the pressure asked, whether a wall carries it, whether the method holds."""
    asked = setup.asked_mpa
    if asked is None:
        return None, True, True
    wall = w.calc(f"required wall, {method}", way.wall, p=asked, S=stress, D=od, **more)
    if 2.0 * wall >= od:
        return None, False, True
    if not _holds(more, asked, stress, od, wall):
        return None, True, False
    if under is None:
        return None, True, True
    name = f"required wall with allowances, {method}"
    nominal = w.calc(name, nominal_wall, t=wall, u=under, c=setup.corrosion_mm)
    # The nominal wall with its allowances must still leave a bore.
    carries = above(od, 2 * nominal)
    return nominal if carries else None, carries, True


def _way(setup: TubeRatingSetup, method: Method) -> Way:
    if method == "din-2413-static" and above(setup.temp_c, HOT_C):
        return DIN_2413_STATIC_HOT
    return WAYS[method]


def _b31_factors(setup: TubeRatingSetup) -> dict[str, Num]:
    """Quality factor, weld factor and Y of ASME B31.3, as named or 1, 1 and 0.4."""
    weld, y = setup.question.weld_factor, setup.question.y_coefficient
    return {
        "E": setup.tube.weld(_QUALITY_AT),
        "W": num(1.0 if weld is UNSET else weld, PLAIN, "weld factor", "/weld_factor"),
        "Y": num(0.4 if y is UNSET else y, PLAIN, "coefficient Y", "/y_coefficient"),
    }


def _holds(more: dict[str, Num], p: Num, stress: Num, od: Num, wall: Num) -> bool:
    """Whether the method holds; ASME B31.3 asks for another form beyond its limits."""
    return not more or asme_b31_3_holds(p=p, S=stress, D=od, t=wall, E=more["E"], W=more["W"])


def _strength(setup: TubeRatingSetup, way: Way) -> Num | None:
    given = setup.question.allowable_stress
    if given is UNSET:
        return way.strength_of(setup.strength)
    return num(in_mpa(given), STRESS, "stress given", "/allowable_stress")


def _factor(setup: TubeRatingSetup, way: Way) -> Num:
    """Factor on the strength: 1 on a stress that is given, unless another is stated with it."""
    stated, given = setup.question.design_factor, setup.question.allowable_stress
    # A design factor is on the tensile strength; the other methods have factors of their own.
    if stated is not UNSET and (given is not UNSET or way.strength == "tensile_mpa"):
        return num(stated, PLAIN, "design factor", "/design_factor")
    return (
        way.own_factor
        if given is UNSET
        else num(1.0, PLAIN, "factor on the stress given", FROM_FORMULA)
    )


def _under(w: Working, setup: TubeRatingSetup, method: Method, way: Way) -> Num | None:
    """Under-tolerance that a method counts, None where it is not known.

    DIN 2413 at the strength of a grade counts its own where that is more, as in an assembly.
    """
    question, od = setup.question, setup.tube.od_mm
    own = _tolerance(question, setup.tube)
    if way.counts == "nominal" or question.allowable_stress is not UNSET:
        none = num(0.0, PERCENT, UNDER, FROM_FORMULA)
        return none if question.wall_under_tolerance_percent is UNSET else own
    if way.counts == "least" or own is None or od is None:
        return own
    return max(w.calc(f"under-tolerance, {method}", din_2413_under, D=od), own)
