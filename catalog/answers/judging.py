"""Run the rules over a setup and gather all that every kind of answer says."""

from collections.abc import Iterable, Sequence

from msgspec import Struct, UnsetType

from catalog.answers.assembly import assembly_of, loads_of
from catalog.answers.grounds import (
    assumed_raised,
    assumptions_of,
    data_raised,
    findings_of,
    next_of,
    rows_of_setup,
    sources_of,
)
from catalog.answers.headline import headline, how_far
from catalog.answers.pressing import force_steps, press_target_of, reading_steps
from catalog.answers.shapes import (
    AssemblyRating,
    Loads,
    Next,
    PressTarget,
)
from catalog.answers.standing import rows_beside, standing_raised
from catalog.answers.telling import NO_RATING, Telling, telling_of
from catalog.facts import Assumption
from catalog.findings import Finding, verdict
from catalog.index import Index
from catalog.provenance import SourceNote
from catalog.rows import Row
from catalog.rules import Groups, raised_by
from catalog.rules.raised import Raised
from catalog.setup.pressing import forces
from catalog.setup.resolving import Setup
from catalog.terms import Detail, Verdict
from catalog.working import WorkingStep, in_units, sources_of_steps


class Judged(Struct, frozen=True, kw_only=True):
    """Verdict of a setup with its findings, and the numbers that may stand beside them.

    `doubtful` is what is warned of, with its rows, which findings in brief do not name.
    """

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
    doubtful: tuple[Raised, ...]


def judged(
    index: Index,
    setup: Setup,
    rules: Groups,
    more: Iterable[Raised] = (),
    also: Sequence[Row] = (),
    detail: Detail = "full",
) -> Judged:
    """Judge a setup by these rules.

    `more` is what the caller has found beside them, `also` the rows that it has read beside those
    of the setup.

    Every rule runs, and a rule that fails is a bug: nothing here catches it.
    """
    formulas = formula_sources(setup)
    rows = tuple(dict.fromkeys((*rows_of_setup(setup), *also)))
    assumptions = assumptions_of(setup)
    raised = raised_by(rules, setup.subjects())
    raised += more
    raised += assumed_raised(assumptions)
    doubtful = tuple(data_raised(index, rows, formulas))
    raised += doubtful
    read = (*rows, *rows_beside(index, setup)) if index.standing.rows else rows
    raised += standing_raised(index, read, formulas, tuple(raised))
    telling = telling_of(raised)
    findings = findings_of(index, raised, telling, detail)
    full = detail == "full"
    decided, following = verdict(findings), next_of(index, findings)
    target = _press_target(setup, telling)
    far = "" if target is None else how_far(target)
    plain = findings
    if decided == "rejected" and telling == "dial":
        # The one line of a refused reading names no window.
        plain = findings_of(index, raised, "forces", "brief")
    return Judged(
        verdict=decided,
        headline=headline(decided, plain, following, far),
        next=following,
        findings=findings,
        assumptions=assumptions,
        working=_working(index, setup, telling) if full else (),
        sources=sources_of(index, rows, formulas) if full else (),
        target=target,
        assembly=None if telling in NO_RATING else assembly_of(setup),
        loads=loads_of(setup) if telling == "dial" else None,
        doubtful=doubtful,
    )


def formula_sources(setup: Setup) -> tuple[str, ...]:
    """Sources of the formulas that the numbers of a setup follow from, by first use."""
    forced = () if setup.target is None else forces(setup.target).sources
    pressed = () if setup.pressing is None else setup.pressing.sources
    rated = () if setup.rating is None else sources_of_steps(setup.rating.steps)
    loaded = () if setup.loads is None else sources_of_steps(setup.loads.steps)
    return tuple(dict.fromkeys((*forced, *pressed, *rated, *loaded)))


def _working(index: Index, setup: Setup, telling: Telling) -> tuple[WorkingStep, ...]:
    """Working that may stand beside the findings, in the units of the answer."""
    if telling in NO_RATING:
        return ()
    units, dial = setup.units, telling == "dial"
    rating = () if setup.rating is None else in_units(setup.rating.steps, index.sources, units)
    if telling == "ratings" or setup.target is None:
        return rating
    pressed: tuple[WorkingStep, ...] = ()
    if dial and setup.pressing is not None:
        pressed = reading_steps(index, setup.pressing, units)
    forced = force_steps(index, setup.target, units, ceiling=dial and setup.pressing is None)
    loads: tuple[WorkingStep, ...] = ()
    if dial and setup.loads is not None:
        loads = in_units(setup.loads.steps, index.sources, units)
    return (*forced, *pressed, *rating, *loads)


def _press_target(setup: Setup, telling: Telling) -> PressTarget | None:
    if setup.target is None or telling not in {"dial", "forces"}:
        return None
    numbers = setup.pressing if telling == "dial" else None
    return press_target_of(
        setup.target,
        setup.fitting.ring,
        numbers,
        setup.units.force,
        ceiling=telling == "dial",
    )
