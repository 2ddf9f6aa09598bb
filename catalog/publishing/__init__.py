"""Publishing, all of it pure: read tables to refusals, or to a revision and the report on it."""

from catalog.publishing.reviewing import (
    Reporter,
    report_bytes,
    report_digest,
    report_on,
    review,
)
from catalog.publishing.shapes import Refusal, Report, Review

__all__ = [
    "Refusal",
    "Report",
    "Reporter",
    "Review",
    "report_bytes",
    "report_digest",
    "report_on",
    "review",
]
