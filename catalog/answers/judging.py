"""Run the rules over a setup and gather all that every kind of answer says."""

from collections.abc import Iterable, Sequence

from msgspec import Struct, UnsetType

from catalog.answers.assembly import assembly_of, loads_of
from catalog.answers.grounds import (
    assumed_raised,
    assumptions_of,
    brief,
    data_raised,
    findings_of,
    next_of,
    rows_of_setup,
    sources_of,
)
from catalog.answers.headline import headline, how_far
from catalog.answers.pressing import dial_steps, force_steps, press_target_of
from catalog.answers.shapes import (
    AssemblyRating,
    Assumption,
    Loads,
    Next,
    PressTarget,
    SourceNote,
)
from catalog.answers.standing import rows_beside, standing_raised
from catalog.answers.telling import NO_RATING, Telling, telling_of
from catalog.findings import Finding, verdict
from catalog.index import Index
from catalog.rows import Row
from catalog.rules import Rule
from catalog.rules.raised import Raised
from catalog.setup.resolving import Setup
from catalog.terms import Detail, Verdict
from catalog.working import WorkingStep, in_units


class Judged(Struct, frozen=True, kw_only=True):
    """Verdict of a setup with its findings, and the numbers that may stand beside them."""

    verdict: Verdict
    headline: str
    next: Next | UnsetType
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    working: tuple[WorkingStep, ...]
    sources: tuple[SourceNote, ...]
    target: PressTarget | None
    assembly: AssemblyRating | None
    loads: Loads | None


def judged(
    index: Index,
    setup: Setup,
    rules: Sequence[Rule],
    more: Iterable[Raised] = (),
    also: Sequence[Row] = (),
    detail: Detail = "full",
) -> Judged:
    """Judge a setup by these rules.

    `more` is what the caller has found beside them, `also` the rows that it has read beside those
    of the setup.

    Every rule runs, and a rule that fails is a bug: nothing here catches it.
    """
    forces, dial, rating, loads = _steps(index, setup)
    working = (*forces, *dial, *rating, *loads)
    rows = tuple(dict.fromkeys((*rows_of_setup(setup), *also)))
    assumptions = assumptions_of(setup)
    raised = [each for rule in rules for each in rule(setup)]
    raised += more
    raised += assumed_raised(assumptions)
    raised += data_raised(index, rows, working)
    read = (*rows, *rows_beside(index, setup)) if index.standing.rows else rows
    raised += standing_raised(index, read, working, tuple(raised))
    telling = telling_of(raised)
    findings = findings_of(index, raised, telling)
    full = detail == "full"
    told = working if telling == "dial" else _told(index, setup, telling, rating)
    decided, following = verdict(findings), next_of(index, findings)
    target = _press_target(setup, telling)
    far = "" if target is None else how_far(target)
    plain = findings
    if decided == "rejected" and telling == "dial":
        # The one line of a refused reading names no window.
        plain = findings_of(index, raised, "forces")
    return Judged(
        verdict=decided,
        headline=headline(decided, plain, following, far),
        next=following,
        findings=findings if full else tuple(brief(each) for each in findings),
        assumptions=assumptions if full else (),
        working=told if full else (),
        sources=sources_of(index, rows, working) if full else (),
        target=target,
        assembly=None if telling in NO_RATING else assembly_of(setup),
        loads=loads_of(setup) if telling == "dial" else None,
    )


def _steps(index: Index, setup: Setup) -> tuple[tuple[WorkingStep, ...], ...]:
    """Working of the forces, of the readings, of the rating and of the loads."""
    grades, units, target = index.formula_grades, setup.units, setup.target
    forces: tuple[WorkingStep, ...] = ()
    dial: tuple[WorkingStep, ...] = ()
    if target is not None:
        forces = force_steps(grades, units, target, ceiling=True)
        if setup.press is not None and setup.gauge is not None:
            pair = (setup.press, setup.gauge)
            dial = dial_steps(grades, units, target, *pair, setup.cone, setup.plate)
    rating = () if setup.rating is None else setup.rating.steps
    loads = () if setup.loads is None else setup.loads.steps
    return forces, dial, *(in_units(steps, grades.of, units) for steps in (rating, loads))


def _told(
    index: Index, setup: Setup, telling: Telling, rating: tuple[WorkingStep, ...]
) -> tuple[WorkingStep, ...]:
    """Working that may stand where the dial may not be told."""
    if telling in NO_RATING:
        return ()
    if telling == "ratings" or setup.target is None:
        return rating
    forces = force_steps(index.formula_grades, setup.units, setup.target, ceiling=False)
    return (*forces, *rating)


def _press_target(setup: Setup, telling: Telling) -> PressTarget | None:
    if setup.target is None or telling not in {"dial", "forces"}:
        return None
    numbers = setup.pressing if telling == "dial" else None
    return press_target_of(
        setup.target,
        setup.fitting.ring,
        setup.gauge,
        numbers,
        setup.units.force,
        ceiling=telling == "dial",
    )
