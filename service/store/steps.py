"""Steps of publishing that may not be, whoever wrote them into a store."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from service.store.records import (
    Action,
    Activation,
    AnyRecord,
    Approval,
    Key,
    KeyRevocation,
    Proposal,
    Record,
    Report,
    Withdrawal,
    person,
)


class History(Struct, frozen=True, kw_only=True):
    """All that a store keeps of publishing, and the ids of the revisions whose tables it has."""

    revisions: tuple[str, ...]
    proposals: tuple[Proposal, ...]
    reports: tuple[Report, ...]
    approvals: tuple[Approval, ...]
    activations: tuple[Activation, ...]
    withdrawals: tuple[Withdrawal, ...]
    keys: tuple[Key, ...]
    revocations: tuple[KeyRevocation, ...]

    def records(self) -> dict[type[Record], tuple[AnyRecord, ...]]:
        """Records by their kind."""
        return {
            Proposal: self.proposals,
            Report: self.reports,
            Approval: self.approvals,
            Activation: self.activations,
            Withdrawal: self.withdrawals,
            Key: self.keys,
            KeyRevocation: self.revocations,
        }


def step_faults(history: History, places: Mapping[tuple[Action, int], int]) -> Iterator[str]:
    """What is wrong in these steps; `places` is where each stands in the audit chain."""
    for kind, records in history.records().items():
        yield from _gaps(kind.noun, records)
    yield from _unknown(history)
    for revision in sorted(set(history.revisions) - {p.revision for p in history.proposals}):
        yield f"revision `{revision}` has no proposal"
    yield from _approval_faults(history)
    yield from _activation_faults(history, places)


def _gaps(name: str, records: tuple[AnyRecord, ...]) -> Iterator[str]:
    wanted = 1
    for record in records:
        if record.n != wanted:
            yield f"{name} {record.n} stands where {name} {wanted} should"
        wanted = record.n + 1


def _unknown(history: History) -> Iterator[str]:
    """Names that lead to nothing."""
    revisions, keys = {None, *history.revisions}, {key.id for key in history.keys}
    named: list[tuple[AnyRecord, str | None]] = [
        *((p, each) for p in history.proposals for each in (p.revision, p.base)),
        *((r, each) for r in history.reports for each in (r.revision, r.against)),
        *((a, each) for a in history.approvals for each in (a.revision, a.against)),
        *((a, each) for a in history.activations for each in (a.revision, a.previous)),
        *((w, w.revision) for w in history.withdrawals),
    ]
    for record, revision in named:
        if revision not in revisions:
            yield f"{_name(record)} names revision `{revision}`, which is not stored"
    for revocation in history.revocations:
        if revocation.key not in keys:
            yield f"{_name(revocation)} names key `{revocation.key}`, which was never made"


def _approval_faults(history: History) -> Iterator[str]:
    proposers = {proposal.revision: proposal.by for proposal in history.proposals}
    reports = {(each.revision, each.against, each.digest) for each in history.reports}
    for approval in history.approvals:
        proposer = proposers.get(approval.revision)
        if proposer is not None and person(approval.by) == person(proposer):
            yield f"{_name(approval)} is by `{approval.by}`, who proposed that revision"
        if (approval.revision, approval.against, approval.report) not in reports:
            yield f"{_name(approval)} rests on report `{approval.report}`, which is none on it"


def _activation_faults(history: History, places: Mapping[tuple[Action, int], int]) -> Iterator[str]:
    approvals = {approval.n: approval for approval in history.approvals}
    active: str | None = None
    were_active: set[str] = set()
    for activation in history.activations:
        name, revision = _name(activation), activation.revision
        if activation.previous != active:
            yield f"{name} does not name the revision that was active before it"
        if activation.approval is None:
            if activation.n != 1 and revision not in were_active:
                yield f"{name} is of revision `{revision}`, never approved nor active before"
        else:
            approval = approvals.get(activation.approval)
            if approval is None or approval.revision != revision:
                yield f"{name} rests on approval {activation.approval}, which is none of it"
            elif _place(places, approval) > _place(places, activation) > 0:
                yield f"{name} came before approval {activation.approval}, on which it rests"
        active = revision
        were_active.add(revision)


def _place(places: Mapping[tuple[Action, int], int], record: AnyRecord) -> int:
    return places.get((record.action, record.n), 0)


def _name(record: AnyRecord) -> str:
    return f"{record.noun} {record.n}"
