"""The report on a proposal against the revision that answers now."""

import msgspec
from msgspec import Struct, structs

from catalog.impact import Progress, untold
from catalog.loading import Conversion
from catalog.publishing import REPORT_FORMAT, Report, Reporter, report_on
from catalog.terms import RULES_VERSION
from service.office.proposing import active_revision, keep_report, stored_revision
from service.office.refused import OfficeError
from service.office.standing import withdrawn_rows
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records


class _Head(Struct, frozen=True):
    """What is looked at before a report is read as one: it may be of another form."""

    format: int
    rules: str
    withdrawals: int


class _Sent(Struct, frozen=True):
    """What a report of any form says of the cells as they were sent."""

    converted: tuple[Conversion, ...] = ()


def is_of_today(content: bytes, withdrawals: int | None = None) -> bool:
    """Whether a kept report is of the form, and by the rules, of today.

    With `withdrawals` it must have taken so many withdrawn rows into account, too.
    """
    try:
        head = msgspec.json.decode(content, type=_Head)
    except msgspec.MsgspecError:
        return False
    if withdrawals is not None and head.withdrawals != withdrawals:
        return False
    return (head.format, head.rules) == (REPORT_FORMAT, RULES_VERSION)


def kept_report(records: Records, revision: str, against: str) -> tuple[str, Report] | None:
    """Digest and report that is kept on a revision against another.

    By the rules of today and with all that is withdrawn today: else it is to be made anew.
    """
    withdrawals = len(withdrawn_rows(records))
    for kept in reversed(records.reports(revision)):
        if kept.against == against:
            content = records.report(kept.digest)
            if is_of_today(content, withdrawals):
                return kept.digest, msgspec.json.decode(content, type=Report)
    return None


def report_kept(records: Records, revision: str) -> tuple[str, Report] | None:
    """Digest and report on a revision against the active one, None where it is still to be made."""
    return kept_report(records, revision, active_revision(records).id)


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
        withdrawn = withdrawn_rows(records)
        converted = () if kept is not None else _converted(records, asked.id)
    if kept is not None:
        return kept
    report = structs.replace(reporter(asked, active, withdrawn, progress), converted=converted)
    with store.changing() as change:
        return keep_report(change, report, by=by, at=at), report


def _converted(records: Records, revision: str) -> tuple[Conversion, ...]:
    """Cells that were converted when a revision was proposed, as its newest report says."""
    kept = records.reports(revision)
    if not kept:
        return ()
    return msgspec.json.decode(records.report(kept[-1].digest), type=_Sent).converted
