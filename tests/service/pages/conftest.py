"""One real report for all tests of the page: replaying everything takes seconds."""

import pytest

from catalog.publishing import Report, report_on, review
from catalog.seed import shipped_revision
from tests.service.pages.reports import edited


@pytest.fixture(scope="session")
def report() -> Report:
    """Report on an edit that has something of nearly everything to tell."""
    shipped = shipped_revision()
    looked = review(edited(shipped), [], shipped, shipped)
    assert looked.revision is not None
    assert looked.refusals == ()
    return report_on(looked.revision, shipped)
