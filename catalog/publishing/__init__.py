"""Publishing, all of it pure: read tables to refusals, or to a revision and the report on it."""

from catalog.publishing.refusing import refusals_of
from catalog.publishing.reviewing import (
    Reporter,
    report_bytes,
    report_digest,
    report_on,
    review,
)
from catalog.publishing.shapes import REPORT_FORMAT, Refusal, Report, Review
from catalog.publishing.words import counted, dial_text, headline_of, largest_rows, stop_text

__all__ = [
    "REPORT_FORMAT",
    "Refusal",
    "Report",
    "Reporter",
    "Review",
    "counted",
    "dial_text",
    "headline_of",
    "largest_rows",
    "refusals_of",
    "report_bytes",
    "report_digest",
    "report_on",
    "review",
    "stop_text",
]
