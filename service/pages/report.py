"""The impact report as a page that an approver reads on screen or on paper."""

import base64
import functools
import hashlib
from collections.abc import Sequence
from importlib.resources import files
from itertools import groupby
from typing import Any, Final, Generic, TypeVar

from markupsafe import Markup
from msgspec import Struct

from catalog.differences import RowChange
from catalog.impact import KINDS, ChangeKind, TargetChange
from catalog.publishing import Report, headline_of, largest_rows
from catalog.rows import number_text
from service.office.states import states_of
from service.pages.changes import Group, grouped_changes, grouped_ratings
from service.pages.figures import visible
from service.pages.picture import picture_of
from service.safety import SAFETY
from service.store.records import Approval
from service.store.sqlite.reading import Records

SHOWN: Final = 200
"""Entries of a kind that stand on a page."""
LONG: Final = 30
"""Entries from which a part of a printed page begins on a new sheet."""

T = TypeVar("T")
G = TypeVar("G")

ROWS_OF_A_WEAK_DOUBT: Final = 20
FIRST_ROWS: Final = 10
"""Changed rows that stand at the top, those that change most; all stand further down."""

_HERE: Final = files("service").joinpath("pages")
_STYLE: Final = _HERE.joinpath("report.css").read_text(encoding="utf-8")
_HASH: Final = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
PAGE_CSP: Final = (
    f"default-src 'none'; style-src 'sha256-{_HASH}'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""Policy to send with the page: its own style, known by its hash, and nothing else at all."""


class ReportAbout(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is not in a report: who proposed the revision, why and when, and what became of it.

    `base` is the revision whose other tables it took; None where every table was sent.
    """

    proposer: str
    note: str
    proposed_at: str
    base: str | None
    state: str
    approvals: tuple[Approval, ...]


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


class Listing(Struct, Generic[T], frozen=True, kw_only=True):
    """Entries, or groups of them; `shown` and `count` are numbers of entries in either case."""

    items: tuple[T, ...]
    shown: int
    count: int
    rest: str

    @property
    def cut(self) -> bool:
        """Whether there are more than are shown."""
        return self.shown < self.count

    @property
    def long(self) -> bool:
        """Whether it begins on a new sheet."""
        return self.shown >= LONG


def listing(items: Sequence[T], path: str, before: int = 0, most: int = SHOWN) -> Listing[T]:
    """The first entries; `before` counts what stands ahead of them in the list at `path`."""
    return Listing(
        items=tuple(items[:most]),
        shown=min(len(items), most),
        count=len(items),
        rest=f"GET {path}&after={before + most}",
    )


def regrouped(plain: Listing[T], groups: tuple[G, ...]) -> Listing[G]:
    """The same entries in groups."""
    return Listing(items=groups, shown=plain.shown, count=plain.count, rest=plain.rest)


class ChangesPart(Struct, frozen=True, kw_only=True):
    """Changes of one kind, and whether any of the answers has numbers to show."""

    listing: Listing[Group]
    numbers: bool


class TableRows(Struct, frozen=True, kw_only=True):
    """Rows of one table that differ."""

    table: str
    rows: tuple[RowChange, ...]


def report_page(report: Report, digest: str, *, about: ReportAbout) -> bytes:
    """Page of a report, the same bytes for the same report and the same state of the office."""
    impact, path = report.impact, f"/v1/revisions/{report.revision}/report?section="
    strong = [doubt for doubt in report.doubts if doubt.weight == "strong"]
    weak = [doubt for doubt in report.doubts if doubt.weight != "strong"]
    rows = listing(report.rows, f"{path}rows")
    first = listing(largest_rows(report.rows, FIRST_ROWS), f"{path}rows")
    ratings = listing(impact.ratings, f"{path}ratings")
    page = _template().render(
        style=Markup(_STYLE),  # noqa: S704 (our own file, no text of a caller)
        report=report,
        digest=digest,
        about=about,
        totals=impact.totals,
        strong=listing(strong, f"{path}doubts"),
        weak=listing(weak, f"{path}doubts", len(strong)),
        shown=SHOWN,
        rows_of_a_weak_doubt=ROWS_OF_A_WEAK_DOUBT,
        reasons=_reasons(about, digest),
        lost=listing(impact.coverage_lost, f"{path}coverage-lost"),
        gained=listing(impact.coverage_gained, f"{path}coverage-gained"),
        changes={kind: _changes(report, kind, path) for kind in KINDS},
        ratings=regrouped(ratings, grouped_ratings(ratings.items, impact.ratings)),
        rows=_by_table(rows),
        first_rows=_by_table(first),
        converted=listing(report.converted, f"{path}converted"),
        headline=headline_of(report),
        drawn=picture_of(impact),
        safety=" ".join(SAFETY),
        demonstration=_rests_on_demonstration(impact.changes),
    )
    return str(page).encode()


@functools.cache
def _template() -> Any:
    # Here, and not above: a service that only answers makes no page, and starts without jinja2.
    from jinja2 import DictLoader, Environment, StrictUndefined

    pages = {
        name: _HERE.joinpath(name).read_text(encoding="utf-8")
        for name in ("report.html", "parts.html")
    }
    environment = Environment(
        loader=DictLoader(pages),
        autoescape=True,
        finalize=visible,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals["number"] = number_text
    return environment.get_template("report.html")


def _reasons(about: ReportAbout, digest: str) -> dict[str, list[tuple[str, str]]]:
    """Who gave which reason for a doubt of this very report."""
    reasons: dict[str, list[tuple[str, str]]] = {}
    for approval in about.approvals:
        if approval.report == digest:
            for each in approval.acknowledged:
                reasons.setdefault(each.doubt, []).append((approval.by, each.reason))
    return reasons


def _changes(report: Report, kind: ChangeKind, path: str) -> ChangesPart:
    every = [change for change in report.impact.changes if change.kind == kind]
    plain = listing(every, f"{path}changes&kind={kind}")
    return ChangesPart(
        listing=regrouped(plain, grouped_changes(plain.items, every)),
        numbers=any(c.dial or c.before.marks or c.after.marks for c in plain.items),
    )


def _by_table(plain: Listing[RowChange]) -> Listing[TableRows]:
    return regrouped(
        plain,
        tuple(
            TableRows(table=table, rows=tuple(rows))
            for table, rows in groupby(plain.items, key=lambda change: change.table)
        ),
    )


def _rests_on_demonstration(changes: tuple[TargetChange, ...]) -> bool | None:
    """Whether an answer here rests on invented values; None where no answer is here to tell."""
    if not changes:
        return None
    return any("data.demonstration" in o.codes for c in changes for o in (c.before, c.after))
