"""The shipped tables with a slip and with changes that are meant, and what is said of them."""

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import structs

from catalog.impact import Outcome, TargetChange
from catalog.publishing import Report
from catalog.revision import Revision, rows_of
from catalog.rows import AnyRow, Neighbour, Size, Target
from service.pages.report import ReportAbout

NOTE = "22L by the new issue\nand 12L derated"


def about(report: Report, **more: Any) -> ReportAbout:
    """What the office says of a proposal."""
    said = ReportAbout(
        proposer="mara",
        note=NOTE,
        proposed_at="2026-03-02T08:15:00Z",
        base=report.against,
        state="proposed",
        approvals=(),
    )
    return structs.replace(said, **more)


def with_changes(report: Report, *changes: TargetChange) -> Report:
    """The report with these changed answers instead of its own."""
    return structs.replace(report, impact=structs.replace(report.impact, changes=changes))


def changed(report: Report, after: Outcome, **more: Any) -> TargetChange:
    """A press target of the first changed end of a report, and what it says now."""
    said: dict[str, Any] = {
        "kind": "target-changed",
        "end": report.impact.changes[0].end,
        "press": "p",
        "gauge": "g",
        "relative": 0.1,
        "before": allowed(),
        "after": after,
        "stop_moves": None,
        "dial": (),
        "grounds": (),
    }
    return TargetChange(**{**said, **more})


def allowed(**more: Any) -> Outcome:
    """A press target with round numbers."""
    numbers: dict[str, Any] = {
        "cone": "cone-S-16",
        "plate": "plate-metric-16",
        "finish": "at-pressure",
        "force_kn": 27.5,
        "force_low_kn": 25.3,
        "force_high_kn": 29.7,
        "ceiling_kn": 34.4,
        "marks": 6,
    }
    return Outcome(verdict="allowed", codes=(), **{**numbers, **more})


def edited(shipped: Revision) -> Mapping[str, Sequence[AnyRow]]:
    """Tables that an office sends: some meant, one with a slipped decimal."""
    return {
        "targets": [
            _target(row) for row in rows_of(shipped, Target) if (row.series, row.od_mm) != ("L", 35)
        ],
        "sizes": [
            structs.replace(row, rated_pressure_bar=225.0)
            if (row.series, row.od_mm) == ("L", 12)
            else row
            for row in rows_of(shipped, Size)
        ],
        "neighbours": [
            structs.replace(row, od_tolerance_mm=row.od_tolerance_mm * 1.1)
            if row.od_mm == 3.175
            else row
            for row in rows_of(shipped, Neighbour)
        ],
    }


def _target(row: Target) -> Target:
    if (row.series, row.od_mm) == ("L", 22):
        return structs.replace(row, force_kn=row.force_kn * 1.08, ceiling_kn=row.ceiling_kn * 1.08)
    if row.ref == "targets/S/20/1.9/2.1/carbon-steel/metal/none":  # a slipped decimal
        return structs.replace(row, force_kn=row.force_kn * 10, ceiling_kn=row.ceiling_kn * 10)
    return row
