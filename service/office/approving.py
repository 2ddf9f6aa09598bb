"""Approve a proposal: a second person has read the report, and answers for it."""

from collections.abc import Iterator

import msgspec
from msgspec import Struct

from catalog.publishing import Report
from catalog.terms import RULES_VERSION
from service.office.proposing import active_revision
from service.office.refused import OfficeError, not_stored, refuse_unseen
from service.office.reporting import is_of_today
from service.office.standing import whole_withdrawn, withdrawn_rows
from service.store.records import Acknowledged, Approval, person
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records


class Approved(Struct, frozen=True, kw_only=True):
    """An approval that is stored; `new` is False where this person had approved this report."""

    approval: Approval
    new: bool


def approve(
    store: Store,
    revision: str,
    *,
    report: str,
    acknowledged: tuple[Acknowledged, ...],
    note: str,
    by: str,
    at: str,
) -> Approved:
    """Approve a revision by the digest of the report that was read.

    Who has approved that report gets that first approval again, and nothing is kept: an answer may
    be lost on its way, and a person who says the same twice answers for it once. What would not be
    approved by now is refused all the same.

    Errors: `OfficeError`, `not-allowed` for the proposer, `conflict` where the report is not the
    one against the active revision, or the revision is withdrawn, `not-our-form` where a strong
    doubt is not acknowledged.
    """
    reasons = {f"/acknowledged/{n}/reason": each.reason for n, each in enumerate(acknowledged)}
    refuse_unseen({"/note": note, **reasons})
    with store.changing() as change:
        proposal = change.proposal(revision)
        if proposal is None:
            raise not_stored(revision)
        if person(proposal.by) == person(by):
            detail = f"`{by}` has proposed it: another person must approve"
            raise OfficeError("not-allowed", detail)
        if whole_withdrawn(change, revision):
            detail = "the revision is withdrawn: propose mended tables instead"
            raise OfficeError("conflict", detail)
        read = _report(change, revision, report)
        if errors := tuple(_acknowledgement_errors(read, acknowledged)):
            detail = f"{len(errors)} acknowledgement{'s' if len(errors) != 1 else ''} to mend"
            raise OfficeError("not-our-form", detail, errors=errors)
        for earlier in change.approvals(revision):
            if earlier.report == report and person(earlier.by) == person(by):
                return Approved(approval=earlier, new=False)
        approval = Approval(
            n=change.next_number(Approval),
            at=at,
            by=by,
            revision=revision,
            against=read.against,
            report=report,
            note=note,
            acknowledged=acknowledged,
        )
        change.add(approval)
        return Approved(approval=approval, new=True)


def _report(records: Records, revision: str, digest: str) -> Report:
    """Report of this digest, if it is the one to read now."""
    active = active_revision(records).id
    known = next((r for r in records.reports(revision) if r.digest == digest), None)
    if known is None:
        detail = (
            f"`{digest}` is no report on this revision: read GET /v1/revisions/{revision}/report "
            "and approve its digest"
        )
        raise OfficeError("conflict", detail)
    content = records.report(digest)
    if not is_of_today(content, len(withdrawn_rows(records))):
        detail = (
            f"the report does not know what was withdrawn since, or is not by rules "
            f"{RULES_VERSION}: read it anew and approve its digest"
        )
        raise OfficeError("conflict", detail)
    report = msgspec.json.decode(content, type=Report)
    if report.against != active:
        detail = (
            f"the report is against `{report.against}`, but `{active}` is active by now: read the "
            "report anew and approve its digest"
        )
        raise OfficeError("conflict", detail)
    return report


def _acknowledgement_errors(
    report: Report, acknowledged: tuple[Acknowledged, ...]
) -> Iterator[tuple[str, str]]:
    given = [each.doubt for each in acknowledged]
    for number, each in enumerate(acknowledged):
        if each.doubt not in report.strong:
            yield (
                f"/acknowledged/{number}/doubt",
                f"`{each.doubt}` is no strong doubt of the report",
            )
        elif given.index(each.doubt) < number:
            yield f"/acknowledged/{number}/doubt", f"`{each.doubt}` stands twice: keep one"
    for doubt in report.strong:
        if doubt not in given:
            yield "/acknowledged", f"the strong doubt `{doubt}` is not acknowledged: give a reason"
