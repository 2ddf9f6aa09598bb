"""Propose a revision: look at the tables, and keep them with the report on them."""

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct, structs

from catalog.impact import Progress, untold
from catalog.loading import ABOUT, BadCell, Conversion
from catalog.publishing import (
    Refusal,
    Report,
    Reporter,
    report_bytes,
    report_digest,
    report_on,
    review,
)
from catalog.revision import Revision
from catalog.rows import AnyRow
from service.office.refused import OfficeError, not_stored, refuse_unseen
from service.office.standing import withdrawn_rows
from service.store.records import Proposal
from service.store.records import Report as ReportRecord
from service.store.sqlite.changing import Change
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records

MOST_TOLD: Final = 1000
"""Refusals that are told one by one."""


class Sent(Struct, frozen=True, kw_only=True):
    """Tables as they were read, with every bad cell; `base` is where the others are taken from.

    `exported` are the revisions that the workbooks among them say they were exported from.
    """

    tables: Mapping[str, Sequence[AnyRow]]
    bad_cells: Sequence[BadCell]
    base: str | None
    converted: Sequence[Conversion] = ()
    exported: Sequence[str] = ()


class Looked(Struct, frozen=True, kw_only=True):
    """Tables that are a revision, and the report on it."""

    revision: Revision
    report: Report
    digest: str
    base: str | None


class Kept(Struct, frozen=True, kw_only=True):
    """A proposal that is stored; `new` is False where these very tables were stored before."""

    proposal: Proposal
    new: bool


def look(
    store: Store, sent: Sent, progress: Progress = untold, reporter: Reporter = report_on
) -> Looked:
    """Revision of the tables with its report against the active one; nothing is stored.

    Errors: `OfficeError`, `not-publishable` with every refusal, `conflict` where nothing differs,
    `revision-not-found` for a base that is not stored.
    """
    with store.reading() as records:
        active = active_revision(records)
        base = None if sent.base is None else stored_revision(records, sent.base)
        withdrawn = withdrawn_rows(records)
    _refuse_older(sent.exported, active.id if base is None else base.id)
    found = review(sent.tables, sent.bad_cells, base, active)
    if found.refusals or found.revision is None:
        count = len(found.refusals)
        detail = f"{count} thing{'s' if count != 1 else ''} to mend: nothing was stored"
        if count > MOST_TOLD:
            detail += f"; the first {MOST_TOLD} are told"
        raise OfficeError("not-publishable", detail, refusals=found.refusals[:MOST_TOLD])
    if found.revision.id == active.id:
        raise OfficeError("conflict", "these are the tables that are active: nothing differs")
    report = reporter(found.revision, active, withdrawn, progress)
    report = structs.replace(report, converted=tuple(sent.converted))
    return Looked(
        revision=found.revision,
        report=report,
        digest=report_digest(report),
        base=None if base is None else base.id,
    )


def _refuse_older(exported: Sequence[str], base: str) -> None:
    """A workbook of another revision would take back, unsaid, what was changed since."""
    others = [each for each in exported if each != base]
    if others:
        refusals = tuple(
            Refusal(
                table=ABOUT,
                value=each,
                rule="workbook-of-another-revision",
                message=f"the workbook was exported from `{each}`, and is proposed on `{base}`",
                remedy="export the workbook of the base anew and make the change there; to go "
                "on from the tables of the workbook on purpose, name its revision as base",
            )
            for each in others
        )
        detail = f"a workbook of another revision than {base}: nothing was stored"
        raise OfficeError("not-publishable", detail, refusals=refusals)


def keep(store: Store, looked: Looked, *, by: str, note: str, at: str) -> Kept:
    """Keep a revision and its report as a proposal.

    The same tables may come twice: the first to have proposed them stays the proposer.
    """
    refuse_unseen({"/note": note})
    with store.changing() as change:
        known = change.proposal(looked.revision.id)
        proposal = known or Proposal(
            n=change.next_number(Proposal),
            at=at,
            by=by,
            revision=looked.revision.id,
            base=looked.base,
            note=note,
        )
        if known is None:
            change.add_tables(looked.revision)
            change.add(proposal)
        keep_report(change, looked.report, by=by, at=at)
        return Kept(proposal=proposal, new=known is None)


def keep_report(change: Change, report: Report, *, by: str, at: str) -> str:
    """Keep a report unless it is kept already; its digest."""
    digest = change.add_report(report_bytes(report))
    if any(kept.digest == digest for kept in change.reports(report.revision)):
        return digest
    change.add(
        ReportRecord(
            n=change.next_number(ReportRecord),
            at=at,
            by=by,
            revision=report.revision,
            against=report.against,
            digest=digest,
        )
    )
    return digest


def active_revision(records: Records) -> Revision:
    """Revision that answers now."""
    last = records.last_activation()
    if last is None:
        raise OfficeError("conflict", "no revision is active: start the service once, or seed it")
    return stored_revision(records, last.revision)


def stored_revision(records: Records, revision: str) -> Revision:
    """Tables of a stored revision. Errors: `OfficeError` where it was never stored."""
    found = records.revision(revision)
    if found is None:
        raise not_stored(revision)
    return found
