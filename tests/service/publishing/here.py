"""Reports made in the process of the service, each once: another takes a second to start."""

from typing import Any

import pytest

from catalog.impact import Progress
from catalog.publishing import Report, report_on
from catalog.revision import Revision

REPORTS: dict[tuple[Any, ...], Report] = {}


def made_here(revision: Revision, against: Revision, withdrawn: Any, progress: Progress) -> Report:
    """Report as `replayed_apart` hands it back, which `test_replaying` holds against this."""
    asked = revision.id, against.id, tuple(withdrawn)
    if asked not in REPORTS:
        REPORTS[asked] = report_on(revision, against, withdrawn, progress)
    return REPORTS[asked]


def make_reports_here(patch: pytest.MonkeyPatch) -> None:
    """Have the service make reports here, until the patch is undone."""
    for module in ("proposals", "reports"):
        patch.setattr(f"service.routes.{module}.replayed_apart", made_here)
