"""The report on a proposal against the revision that answers now."""

import msgspec

from catalog.impact import Progress, untold
from catalog.publishing import Report, Reporter, report_on
from catalog.publishing import report_digest as digest_of
from catalog.terms import RULES_VERSION
from service.office.proposing import active_revision, keep_report, stored_revision
from service.office.refused import OfficeError
from service.store.store import Records, Store


def kept_report(records: Records, revision: str, against: str) -> tuple[str, Report] | None:
    """Digest and report that is kept on a revision against another, by the rules of today."""
    for kept in reversed(records.reports(revision)):
        if kept.against == against:
            report = msgspec.json.decode(records.report(kept.digest), type=Report)
            if report.rules == RULES_VERSION:
                return kept.digest, report
    return None


def report_for(
    store: Store,
    revision: str,
    *,
    by: str,
    at: str,
    progress: Progress = untold,
    reporter: Reporter = report_on,
) -> tuple[str, Report]:
    """Digest and report on a revision against the active one, made and kept where there is none.

    Errors: `OfficeError`, `revision-not-found`, `conflict` for the active revision itself.
    """
    with store.reading() as records:
        active = active_revision(records)
        if revision == active.id:
            detail = "this revision is the active one: there is nothing to compare it with"
            raise OfficeError("conflict", detail)
        kept = kept_report(records, revision, active.id)
        asked = stored_revision(records, revision)
    if kept is not None:
        return kept
    report = reporter(asked, active, progress)
    with store.changing() as change:
        keep_report(change, report, by=by, at=at)
    return digest_of(report), report
