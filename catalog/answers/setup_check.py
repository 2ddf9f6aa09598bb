"""Answer whether a setup is right: what is wrong, what is still unknown, and the target."""

from collections.abc import Sequence
from typing import get_args

from msgspec import UNSET

from catalog.answers.grounds import settled_at
from catalog.answers.headline import with_cautions
from catalog.answers.judging import Judged, judged
from catalog.answers.shapes import SetupCheckAnswer, StepReport
from catalog.facts import stated
from catalog.figures import DUST_FREE, figure
from catalog.findings import Finding
from catalog.index import Index
from catalog.quantities import in_mpa
from catalog.questions import Received, SetupCheckQuestion
from catalog.rules import RULES, Groups
from catalog.setup.resolving import Setup, setup_check_setup
from catalog.terms import RULES_VERSION, StepId, StepState

SCOPE = (
    "judges this setup as it is stated, on this day, with this tool state: the finished ring is "
    "still to be inspected"
)
_STEPS: tuple[StepId, ...] = get_args(StepId)


def setup_check(
    index: Index,
    question: SetupCheckQuestion,
    rules: Groups = RULES,
    received: Received | None = None,
) -> SetupCheckAnswer:
    """Everything that is wrong or unknown in a setup, given in any part and any order."""
    setup = setup_check_setup(index, question, received)
    found = judged(index, setup, rules, detail=question.detail)
    unjudged = _unjudged(setup)
    return SetupCheckAnswer(
        verdict=found.verdict,
        headline=_contact_made(question, setup, found) or found.headline,
        next=found.next,
        revision=index.revision,
        rules=RULES_VERSION,
        scope=SCOPE,
        findings=found.findings,
        assumptions=found.assumptions if question.detail == "full" else (),
        working=found.working,
        sources=found.sources,
        steps=tuple(
            StepReport(id=step, state=_state(step, found.findings, unjudged)) for step in _STEPS
        ),
        next_fields=_next_fields(question, found.findings) if question.detail == "full" else (),
        client_ref=question.client_ref,
        on=question.on,
        received_on=UNSET if received is None else received.on,
        tool_state=question.tool_state,
        target=UNSET if found.target is None else found.target,
        assembly=UNSET if found.assembly is None else found.assembly,
        loads=UNSET if found.loads is None else found.loads,
    )


def _contact_made(question: SetupCheckQuestion, setup: Setup, found: Judged) -> str:
    """Headline of a ring that is pressed: the contact that finishes it was made as expected.

    An odd contact that was looked at is allowed too, but does not say that the ring is pressed.
    """
    reading, numbers = question.contact_reading, setup.pressing
    if reading is UNSET or numbers is None or found.next is not UNSET:
        return ""
    if numbers.contact is None or not numbers.contact.holds(in_mpa(reading)):
        return ""
    at = f"{figure(reading.value, DUST_FREE)} {reading.unit}"
    return with_cautions(f"contact made at {at}: inspect the ring next", found.findings)


def _unjudged(setup: Setup) -> frozenset[StepId]:
    """Steps that could not be judged for want of something that another step must state."""
    needs: dict[StepId, object] = {
        "tube": setup.tube.row,
        "fitting": setup.fitting.size and setup.fitting.ring,
        "service": None if setup.rating is None else setup.rating.margin,
        "prepare": setup.limits,
        "tooling": setup.target and setup.cone and setup.plate,
        "lubricate": setup.fitting.ring,
        "press": setup.pressing,
    }
    return frozenset(step for step, needed in needs.items() if needed is None)


def _state(step: StepId, findings: Sequence[Finding], unjudged: frozenset[StepId]) -> StepState:
    severities = {f.severity for f in findings if f.step == step}
    if "reject" in severities:
        return "wrong"
    return "open" if "unknown" in severities or step in unjudged else "ok"


def _next_fields(question: SetupCheckQuestion, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Fields still to be stated, in the order of the bench."""
    unknown = [f for f in findings if f.severity == "unknown"]
    missing = [f for f in unknown if stated(question, settled_at(f)) is UNSET]
    return tuple(dict.fromkeys(settled_at(f) for f in missing))
