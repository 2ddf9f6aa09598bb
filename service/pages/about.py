"""What a page of a report says beside the report: from the records."""

from catalog.publishing import Report
from service.office.states import states_of
from service.pages.report import ReportAbout
from service.store.sqlite.reading import Records


def about_of(records: Records, report: Report) -> ReportAbout:
    """Who proposed the revision of a report, why and when, and what became of it."""
    state = next(each for each in states_of(records) if each.revision == report.revision)
    return ReportAbout(
        proposer=state.proposed_by,
        note=state.note,
        proposed_at=state.proposed_at,
        base=state.base,
        state=state.state,
        approvals=records.approvals(report.revision),
    )
