"""Answer what pressure a tube carries, by each method asked."""

from collections.abc import Mapping, Sequence

from msgspec import UNSET

from catalog.answers.grounds import (
    assumed_raised,
    data_raised,
    findings_of,
    next_of,
    sources_of,
    unstated,
)
from catalog.answers.headline import headline, limit_text
from catalog.answers.shapes import MethodRating, TubeRatingAnswer
from catalog.answers.standing import standing_raised
from catalog.answers.telling import telling_of
from catalog.facts import ASSUMED_ASME, ASSUMED_RATING, Assumption
from catalog.findings import verdict
from catalog.index import Index
from catalog.quantities import Quantity, quantity
from catalog.questions import Received, TubeRatingQuestion
from catalog.rows import Row
from catalog.rules.tube_rating import TUBE_RATING_RULES, TubeRatingRule
from catalog.setup.tube_rating import Rated, TubeRatingSetup, tube_rating_setup
from catalog.terms import RULES_VERSION, Governing, Unit
from catalog.working import in_units, sources_of_steps

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
    limit_mpa = setup.yield_limit_mpa
    steps = (*(step for rated in setup.rated for step in rated.steps), *setup.yield_steps)
    formulas = sources_of_steps(steps)
    rows = _rows(setup)
    assumptions = _assumptions(setup)
    raised = [each for rule in rules for each in rule(setup)]
    raised += assumed_raised(assumptions)
    raised += data_raised(index, rows, formulas)
    raised += standing_raised(index, rows, formulas, tuple(raised))
    telling = telling_of(raised)
    findings = findings_of(index, raised, telling, question.detail)
    told = telling != "nothing"
    governing = _governing(setup) if told else None
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
        working=in_units(steps, index.sources, question.answer_in) if full and told else (),
        sources=sources_of(index, rows, formulas) if full else (),
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


def _governing(setup: TubeRatingSetup) -> Governing | None:
    """Lowest of all that were asked, None while one of them is not known."""
    limit_mpa = setup.yield_limit_mpa
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
