"""Run the rules over a setup and gather all that every kind of answer says."""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from catalog.answers.assembly import assembly_steps
from catalog.answers.grounds import (
    assumed_raised,
    assumptions_of,
    data_raised,
    findings_of,
    rows_of_setup,
)
from catalog.answers.pressing import press_target_of, pressing_steps
from catalog.answers.shapes import Assumption, PressTarget, WorkingStep
from catalog.answers.standing import rows_beside, standing_raised
from catalog.findings import Finding, verdict
from catalog.index import Index
from catalog.rows import Row
from catalog.rules import Rule
from catalog.rules.raised import Raised
from catalog.setup.resolving import Setup
from catalog.terms import Verdict


class Judged(Struct, frozen=True, kw_only=True):
    """Verdict of a setup with its findings and working; `target` is None where it is rejected."""

    verdict: Verdict
    findings: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...]
    working: tuple[WorkingStep, ...]
    rows: tuple[Row, ...]
    target: PressTarget | None


def judged(
    index: Index,
    setup: Setup,
    rules: Sequence[Rule],
    more: Iterable[Raised] = (),
    also: Sequence[Row] = (),
) -> Judged:
    """Judge a setup by these rules.

    `more` is what the caller has found beside them, `also` the rows that it has read beside those
    of the setup.

    Every rule runs, and a rule that fails is a bug: nothing here catches it. A rejected setup is
    given no target, so that nobody presses by a number that stands beside a refusal.
    """
    working = (*_pressing_steps(index, setup), *assembly_steps(index.formula_grades, setup))
    rows = tuple(dict.fromkeys((*rows_of_setup(setup), *also)))
    assumptions = assumptions_of(setup)
    raised = [each for rule in rules for each in rule(setup)]
    raised += more
    raised += assumed_raised(assumptions)
    raised += data_raised(index, rows, working)
    read = (*rows, *rows_beside(index, setup)) if index.standing.rows else rows
    raised += standing_raised(index, read, working, tuple(raised))
    findings = findings_of(index, raised)
    outcome = verdict(findings)
    return Judged(
        verdict=outcome,
        findings=findings,
        assumptions=assumptions,
        working=working,
        rows=rows,
        target=None if outcome == "rejected" else _press_target(setup),
    )


def _pressing_steps(index: Index, setup: Setup) -> tuple[WorkingStep, ...]:
    if setup.target is None:
        return ()
    paired = setup.pressing is not None
    return pressing_steps(
        index.formula_grades,
        setup.units,
        setup.target,
        setup.press if paired else None,
        setup.gauge if paired else None,
        setup.cone,
        setup.plate,
    )


def _press_target(setup: Setup) -> PressTarget | None:
    if setup.target is None:
        return None
    return press_target_of(setup.target, setup.gauge, setup.pressing, setup.units.force)
