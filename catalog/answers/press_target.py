"""Answer how far a ring is pressed."""

from msgspec import UNSET

from catalog.answers.judging import judged
from catalog.answers.shapes import PressTargetAnswer
from catalog.index import Index
from catalog.questions import PressTargetQuestion, Received
from catalog.rules import RULES, Groups
from catalog.setup.resolving import press_target_setup
from catalog.terms import RULES_VERSION

SCOPE = (
    "judges the pressing alone: not the working pressure, the preparation of the end, "
    "or what else the question does not state"
)
SCOPE_UNDATED = f"{SCOPE}; whether the gauge is calibrated was not judged"


def _is_undated(question: PressTargetQuestion) -> bool:
    due = UNSET if question.tool_state is UNSET else question.tool_state.gauge_calibration_due
    return question.gauge is not UNSET and UNSET in {question.on, due}


def press_target(
    index: Index,
    question: PressTargetQuestion,
    rules: Groups = RULES,
    received: Received | None = None,
) -> PressTargetAnswer:
    """Target of a tube end and ring, with a dial window where press and gauge are named."""
    setup = press_target_setup(index, question, received)
    found = judged(index, setup, rules, detail=question.detail)
    return PressTargetAnswer(
        verdict=found.verdict,
        headline=found.headline,
        next=found.next,
        revision=index.revision,
        rules=RULES_VERSION,
        scope=SCOPE_UNDATED if _is_undated(question) else SCOPE,
        findings=found.findings,
        assumptions=found.assumptions if question.detail == "full" else (),
        working=found.working,
        sources=found.sources,
        client_ref=question.client_ref,
        on=question.on,
        received_on=UNSET if received is None else received.on,
        tool_state=question.tool_state,
        target=UNSET if found.target is None else found.target,
    )
