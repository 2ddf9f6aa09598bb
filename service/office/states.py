"""The state of every stored revision: proposed, approved, active, superseded, withdrawn."""

from typing import Annotated, Literal

from msgspec import Struct

from catalog.wanted import about
from service.office.reporting import is_of_today
from service.store.records import Moment
from service.store.sqlite.reading import Records

State = Literal["proposed", "approved", "active", "superseded", "withdrawn"]


class RevisionState(Struct, frozen=True, kw_only=True):
    """A revision as it came in, and what became of it.

    `approved` holds while the revision that it was approved against is active.
    `withdrawn_rows` counts rows withdrawn in its name; it may hold others, withdrawn in that of
    another: the revision itself tells them all.
    """

    revision: Annotated[str, about("id of the revision, the hash of its tables")]
    state: Annotated[State, about("what became of it")]
    proposed_by: Annotated[str, about("name of whoever proposed it")]
    proposed_at: Annotated[Moment, about("moment in UTC, such as `2026-03-02T08:00:00Z`")]
    note: Annotated[str, about("why it was proposed")]
    base: Annotated[
        str | None, about("id of the revision whose other tables it took; null where it came whole")
    ]
    withdrawn_rows: Annotated[int, about("rows that were withdrawn in its name")]


def states_of(records: Records) -> tuple[RevisionState, ...]:
    """Every revision in the order in which they came in."""
    activations = records.activations()
    active = activations[-1].revision if activations else None
    activated = {each.revision for each in activations}
    approved = {
        each.revision
        for each in records.approvals()
        if each.against == active and is_of_today(records.report(each.report))
    }
    withdrawals = records.withdrawals()
    whole = {each.revision for each in withdrawals if each.row is None}

    def state(revision: str) -> State:
        if revision in whole:
            return "withdrawn"
        if revision == active:
            return "active"
        if revision in activated:
            return "superseded"
        return "approved" if revision in approved else "proposed"

    return tuple(
        RevisionState(
            revision=proposal.revision,
            state=state(proposal.revision),
            proposed_by=proposal.by,
            proposed_at=proposal.at,
            note=proposal.note,
            base=proposal.base,
            withdrawn_rows=sum(
                each.row is not None and each.revision == proposal.revision for each in withdrawals
            ),
        )
        for proposal in records.proposals()
    )
