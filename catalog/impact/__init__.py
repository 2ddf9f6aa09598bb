"""Every question that the tables can answer, replayed on two revisions, and what differs."""

from catalog.impact.alike import with_rows_of
from catalog.impact.comparing import (
    KINDS,
    MOST_QUESTIONS,
    Progress,
    dial_moves,
    impact_of,
    questions_of,
    stop_moves,
    untold,
)
from catalog.impact.not_replayed import NOT_REPLAYED
from catalog.impact.outcomes import Readings, readings_of
from catalog.impact.shapes import (
    ChangeKind,
    DialMove,
    DialPart,
    Doubtful,
    End,
    Ground,
    Impact,
    LimitName,
    Outcome,
    Rated,
    RatedLimit,
    RatingChange,
    TargetChange,
    Totals,
)

__all__ = [
    "KINDS",
    "MOST_QUESTIONS",
    "NOT_REPLAYED",
    "ChangeKind",
    "DialMove",
    "DialPart",
    "Doubtful",
    "End",
    "Ground",
    "Impact",
    "LimitName",
    "Outcome",
    "Progress",
    "Rated",
    "RatedLimit",
    "RatingChange",
    "Readings",
    "TargetChange",
    "Totals",
    "dial_moves",
    "impact_of",
    "questions_of",
    "readings_of",
    "stop_moves",
    "untold",
    "with_rows_of",
]
