"""Answer what pressure a tube carries, by each method asked."""

from collections.abc import Mapping, Sequence

from msgspec import UNSET

from catalog.answers.assembly import welded
from catalog.answers.grounds import (
    assumed_raised,
    data_raised,
    findings_of,
    next_of,
    sources_of,
    unstated,
)
from catalog.answers.headline import headline, limit_text
from catalog.answers.shapes import Assumption, MethodRating, TubeRatingAnswer
from catalog.answers.sheet import Sheet, given, plain
from catalog.answers.standing import standing_raised
from catalog.answers.telling import telling_of
from catalog.calc.asme import ASME_B31_3
from catalog.calc.assembly import PROOF_LIMIT, proof_limit_mpa
from catalog.calc.stress import BORE_YIELD, DESIGN_STRESS, design_stress_mpa
from catalog.calc.tube_section import DIN_2413_UNDER, EFFECTIVE_WALL, din_2413_under_percent
from catalog.facts import ASSUMED_ASME, ASSUMED_RATING
from catalog.findings import verdict
from catalog.index import Index
from catalog.quantities import Quantity, quantity
from catalog.questions import Received, TubeRatingQuestion
from catalog.rows import Row
from catalog.rules.tube_rating import TUBE_RATING_RULES, TubeRatingRule
from catalog.setup.tube_rating import Rated, TubeRatingSetup, asme_factors, tube_rating_setup
from catalog.terms import RULES_VERSION, Governing, Unit

SCOPE_STRESS = (
    "rates a straight tube at the stress given: no tolerance, factor or temperature beyond those "
    "in the question"
)
SCOPE_COLD = "rates a straight tube at room temperature, under static pressure unless by a method"
SCOPE_HOT = (
    "rates a straight tube at the temperature given, under static pressure unless by a method"
)


def tube_rating(
    index: Index,
    question: TubeRatingQuestion,
    rules: Sequence[TubeRatingRule] = TUBE_RATING_RULES,
    received: Received | None = None,
) -> TubeRatingAnswer:
    """Pressure of a tube by each method asked, what governs, and the wall that a pressure needs."""
    setup = tube_rating_setup(index, question, received)
    limit_mpa = _yield_limit(setup)
    sheet = Sheet(index.formula_grades, question.answer_in)
    for rated in setup.rated:
        _add_rated(sheet, setup, rated)
    _add_yield(sheet, setup, limit_mpa)
    rows = _rows(setup)
    assumptions = _assumptions(setup)
    raised = [each for rule in rules for each in rule(setup)]
    raised += assumed_raised(assumptions)
    formula_sources = tuple(dict.fromkeys(step.source for step in sheet.steps))
    raised += data_raised(index, rows, formula_sources)
    raised += standing_raised(index, rows, formula_sources, tuple(raised))
    telling = telling_of(raised)
    findings = findings_of(index, raised, telling, question.detail)
    told = telling != "nothing"
    governing = _governing(setup, limit_mpa) if told else None
    full = question.detail == "full"
    decided, following = verdict(findings), next_of(index, findings)
    ratings = tuple(_told(setup, rated) for rated in setup.rated if told and _is_told(setup, rated))
    yield_limit = (
        None
        if limit_mpa is None or not told
        else quantity(limit_mpa, "MPa", question.answer_in.pressure)
    )
    lowest = {rating.method: rating.pressure for rating in ratings} | {"tube-yield": yield_limit}
    return TubeRatingAnswer(
        verdict=decided,
        headline=headline(decided, findings, following, _carried(governing, lowest), "not rated"),
        next=following,
        revision=index.revision,
        rules=RULES_VERSION,
        scope=_scope(setup),
        findings=findings,
        assumptions=assumptions if full else (),
        working=tuple(sheet.steps) if full and told else (),
        sources=sources_of(index, rows, formula_sources) if full else (),
        ratings=ratings,
        client_ref=question.client_ref,
        governing=UNSET if governing is None else governing,
        yield_limit=UNSET if yield_limit is None else yield_limit,
    )


def _carried(governing: Governing | None, lowest: Mapping[str, Quantity | None]) -> str:
    pressure = None if governing is None else lowest[governing]
    return "" if pressure is None else f"carries {limit_text(pressure)}, {governing} governs"


def _is_told(setup: TubeRatingSetup, rated: Rated) -> bool:
    if setup.quality is None:
        return False
    return rated.applies and bool(rated.pressure_mpa) and rated.stress_mpa is not None


def _told(setup: TubeRatingSetup, rated: Rated) -> MethodRating:
    units = setup.question.answer_in
    return MethodRating(
        method=rated.method,
        pressure=quantity(rated.pressure_mpa or 0.0, "MPa", units.pressure),
        stress=quantity(rated.stress_mpa or 0.0, "MPa", _stress_unit(setup)),
        required_wall=UNSET
        if rated.required_wall_mm is None
        else quantity(rated.required_wall_mm, "mm", units.length),
    )


def _stress_unit(setup: TubeRatingSetup) -> Unit:
    """Stresses are told in MPa, which is N/mm2, unless the answer is asked for in psi."""
    return "psi" if setup.question.answer_in.pressure == "psi" else "MPa"


def _yield_limit(setup: TubeRatingSetup) -> float | None:
    if not setup.yield_at_mpa:
        return None
    return proof_limit_mpa(setup.yield_at_mpa, setup.proof_factor)


def _governing(setup: TubeRatingSetup, limit_mpa: float | None) -> Governing | None:
    """Lowest of all that were asked, None while one of them is not known."""
    if not all(_is_told(setup, rated) for rated in setup.rated):
        return None
    if setup.tube.material is not None and limit_mpa is None:
        return None
    lowest = min(setup.rated, key=lambda rated: rated.pressure_mpa or 0.0)
    if limit_mpa is not None and limit_mpa < (lowest.pressure_mpa or 0.0):
        return "tube-yield"
    return lowest.method


def _scope(setup: TubeRatingSetup) -> str:
    if setup.question.allowable_stress is not UNSET:
        return SCOPE_STRESS
    return SCOPE_COLD if setup.question.temperature is UNSET else SCOPE_HOT


def _rows(setup: TubeRatingSetup) -> tuple[Row, ...]:
    rows = (setup.tube.material, setup.tube.row, setup.strength)
    return tuple(row for row in rows if row is not None)


def _assumptions(setup: TubeRatingSetup) -> tuple[Assumption, ...]:
    """With a stress alone nothing is taken as given, with a grade what the facts say."""
    stress_given = setup.question.allowable_stress is not UNSET
    if stress_given and setup.tube.material is None:
        return ()
    candidates = list(ASSUMED_RATING)
    if "asme-b31.3" in setup.question.methods and not stress_given:
        candidates += ASSUMED_ASME
    return unstated(setup.question, candidates)


def _add_rated(sheet: Sheet, setup: TubeRatingSetup, rated: Rated) -> None:
    od_mm, nominal_mm = setup.tube.od_mm, setup.tube.wall_mm
    if rated.strength_mpa is None or rated.stress_mpa is None or setup.quality is None:
        return
    method, unit = rated.method, _stress_unit(setup)
    stress_name, wall_name = f"stress, {method}", f"wall counted, {method}"
    stress_mpa = design_stress_mpa(rated.strength_mpa, rated.factor)
    sheet.step(
        DESIGN_STRESS,
        stress_name,
        stress_mpa,
        "MPa",
        unit,
        given(
            "R", rated.strength_mpa, "MPa", unit, _strength_of(setup, rated), _strength_at(setup)
        ),
        plain("factor", rated.factor, "1", "factor of the method", _factor_at(setup, rated)),
    )
    quality, weld, y = asme_factors(setup.question)
    at = "formula" if setup.question.quality_factor is UNSET else "/quality_factor"
    by_weld = plain("E", quality, "1", "quality factor of the weld", at)
    more = []
    if rated.way.formula is ASME_B31_3:
        stress = given("S", stress_mpa, "MPa", unit, "stress", stress_name)
        more = [
            by_weld,
            plain("W", weld, "1", "weld factor, 1 unless stated", "/weld_factor"),
            plain("Y", y, "1", "coefficient, 0.4 unless stated", "/y_coefficient"),
        ]
    else:
        stress = welded(sheet, stress_mpa, unit, stress_name, by_weld)
    if not rated.applies or od_mm is None or nominal_mm is None or not rated.wall_mm:
        return
    od = given("D", od_mm, "mm", sheet.length, "od", "/tube/od")
    nominal = given("t_nominal", nominal_mm, "mm", sheet.length, "nominal wall", "/tube/wall")
    under_at = _under_at(setup, rated)
    if _is_by_din(setup, rated):
        least, under_name = din_2413_under_percent(od_mm), f"under-tolerance, {method}"
        sheet.step(DIN_2413_UNDER, under_name, least, "percent", "percent", od)
        if rated.under_percent == least:
            under_at = under_name
    under = plain("u", rated.under_percent, "percent", "under-tolerance", under_at)
    lost = given("c", setup.corrosion_mm, "mm", sheet.length, "corrosion", "/corrosion_allowance")
    wall_mm, told = rated.wall_mm, sheet.length
    sheet.step(EFFECTIVE_WALL, wall_name, wall_mm, "mm", told, nominal, under, lost)
    wall = given("t", wall_mm, "mm", sheet.length, "wall counted", wall_name)
    if rated.pressure_mpa is not None:
        mpa = rated.pressure_mpa
        sheet.step(rated.way.formula, method, mpa, "MPa", sheet.pressure, stress, od, wall, *more)
    if rated.required_wall_mm is not None and setup.asked_mpa is not None:
        asked = given("p", setup.asked_mpa, "MPa", sheet.pressure, "pressure asked", "/pressure")
        sheet.step(
            rated.way.wall_formula,
            f"required wall with allowances, {method}",
            rated.required_wall_mm,
            "mm",
            sheet.length,
            asked,
            stress,
            od,
            under,
            lost,
            *more,
        )


def _strength_of(setup: TubeRatingSetup, rated: Rated) -> str:
    if setup.question.allowable_stress is not UNSET:
        return "stress given"
    return f"{rated.way.strength.removesuffix('_mpa')} strength"


def _strength_at(setup: TubeRatingSetup) -> str:
    if setup.question.allowable_stress is not UNSET or setup.strength is None:
        return "/allowable_stress"
    return setup.strength.ref


def _factor_at(setup: TubeRatingSetup, rated: Rated) -> str:
    stated = setup.question.design_factor is not UNSET
    return "/design_factor" if stated and rated.factor != rated.way.factor else "formula"


def _is_by_din(setup: TubeRatingSetup, rated: Rated) -> bool:
    return rated.way.counts == "din-2413" and setup.question.allowable_stress is UNSET


def _under_at(setup: TubeRatingSetup, rated: Rated) -> str:
    stated_here = setup.question.wall_under_tolerance_percent is not UNSET
    by_grade = setup.question.allowable_stress is UNSET and rated.way.counts != "nominal"
    return _tolerance_at(setup) if stated_here or by_grade else "formula"


def _tolerance_at(setup: TubeRatingSetup) -> str:
    if setup.question.wall_under_tolerance_percent is not UNSET:
        return "/wall_under_tolerance_percent"
    return "formula" if setup.tube.row is None else setup.tube.row.ref


def _add_yield(sheet: Sheet, setup: TubeRatingSetup, limit_mpa: float | None) -> None:
    material, od_mm, least_mm = setup.tube.material, setup.tube.od_mm, setup.least_wall_mm
    if limit_mpa is None or material is None or material.yield_mpa is None:
        return
    if setup.yield_at_mpa is None or od_mm is None or least_mm is None:
        return
    nominal_mm, told = setup.tube.wall_mm, sheet.pressure
    if nominal_mm is None:
        return
    sheet.step(
        EFFECTIVE_WALL,
        "least wall",
        least_mm,
        "mm",
        sheet.length,
        given("t_nominal", nominal_mm, "mm", sheet.length, "nominal wall", "/tube/wall"),
        plain("u", setup.under_percent, "percent", "under-tolerance", _tolerance_at(setup)),
        given("c", setup.corrosion_mm, "mm", sheet.length, "corrosion", "/corrosion_allowance"),
    )
    sheet.step(
        BORE_YIELD,
        "bore yields",
        setup.yield_at_mpa,
        "MPa",
        told,
        plain("Re", material.yield_mpa, "MPa", "yield strength, cold", material.ref),
        given("D", od_mm, "mm", sheet.length, "od", "/tube/od"),
        given("t", least_mm, "mm", sheet.length, "least wall", "least wall"),
    )
    sheet.step(
        PROOF_LIMIT,
        "yield limit",
        limit_mpa,
        "MPa",
        told,
        given("p_yield", setup.yield_at_mpa, "MPa", told, "bore yields", "bore yields"),
        plain("proof factor", setup.proof_factor, "1", "factor", "/proof_factor"),
    )
