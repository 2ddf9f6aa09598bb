"""The report on a proposal: in short, page by page, whole, and as a page to read."""

from typing import Annotated, Any, Final, Literal

from litestar import Response, get
from litestar.params import FromPath
from msgspec import UNSET, Struct, UnsetType, structs

from catalog.differences import RowChange
from catalog.impact import ChangeKind, End, RatingChange, TargetChange, Totals
from catalog.loading import Conversion
from catalog.plausibility import Doubt
from catalog.publishing import Report, headline_of, report_bytes
from catalog.wanted import about
from service.current import moment
from service.edge.decoding import StrictRequest
from service.office.replaying import replayed_apart
from service.office.reporting import report_for, report_kept
from service.pages.report import PAGE_CSP, about_of, report_page
from service.routes.asking import caller_of, done, named, read, store_of, turn
from service.routes.words import After, Limit, Next, page

SHOWN: Final = 100
"""Entries of each kind that are shown with a proposal; the report has all, page by page."""

Section = Literal[
    "rows", "doubts", "changes", "ratings", "coverage-lost", "coverage-gained", "converted"
]


class ReportQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which part of the report: a section page by page, else the report in short."""

    section: Annotated[
        Section | UnsetType, about("part to read page by page; left out: the report in short")
    ] = UNSET
    kind: Annotated[ChangeKind | UnsetType, about("changes of this kind alone; left out: all")] = (
        UNSET
    )
    after: Annotated[After, about("entries to pass over")] = 0
    limit: Annotated[Limit, about("how many entries")] = 100


class ReportSummary(Struct, frozen=True, kw_only=True):
    """What a report says in short; `strong` must be acknowledged one by one with a reason.

    Of `rows`, `changes` and `ratings` the first are shown, gravest or largest first; the totals
    count them all.
    """

    headline: Annotated[str, about("what it says in one sentence")]
    digest: Annotated[str, about("sha256 of the whole report, which an approval names")]
    revision: Annotated[str, about("id of the proposed revision")]
    against: Annotated[str, about("id of the revision that it is compared with")]
    rules: Annotated[str, about("version of the rules that it was made by")]
    totals: Annotated[Totals, about("how many of each kind")]
    row_changes: Annotated[int, about("how many rows differ")]
    strong: Annotated[tuple[str, ...], about("ids of the doubts that must be acknowledged")]
    doubts: Annotated[tuple[Doubt, ...], about("everything that looks wrong")]
    rows: Annotated[tuple[RowChange, ...], about(f"the first {SHOWN} rows that differ")]
    changes: Annotated[
        tuple[TargetChange, ...],
        about(f"the first {SHOWN} press targets that are answered otherwise"),
    ]
    ratings: Annotated[tuple[RatingChange, ...], about(f"the first {SHOWN} ratings that differ")]
    converted_count: Annotated[int, about("how many cells were converted")]
    converted: Annotated[
        tuple[Conversion, ...],
        about(
            f"the first {SHOWN} cells sent in another unit or with a decimal comma, and what they "
            "became"
        ),
    ]
    not_replayed: Annotated[
        tuple[str, ...], about("tables and columns that changed and that no question here reads")
    ]


class ReportAnswer(Struct, frozen=True, kw_only=True):
    """The report in short, or a page of one of its sections; `next` is the next page's `after`."""

    digest: Annotated[str, about("sha256 of the whole report, which an approval names")]
    summary: Annotated[ReportSummary | UnsetType, about("the report in short")] = UNSET
    section: Annotated[Section | UnsetType, about("part that this page is of")] = UNSET
    count: Annotated[int | UnsetType, about("entries of the part")] = UNSET
    next: Next = UNSET
    rows: Annotated[tuple[RowChange, ...] | UnsetType, about("rows that differ")] = UNSET
    doubts: Annotated[tuple[Doubt, ...] | UnsetType, about("what looks wrong")] = UNSET
    changes: Annotated[
        tuple[TargetChange, ...] | UnsetType, about("press targets that are answered otherwise")
    ] = UNSET
    ratings: Annotated[tuple[RatingChange, ...] | UnsetType, about("ratings that differ")] = UNSET
    converted: Annotated[
        tuple[Conversion, ...] | UnsetType, about("cells that were sent in another unit or form")
    ] = UNSET
    ends: Annotated[
        tuple[End, ...] | UnsetType, about("tube ends that no pair, or now some pair, can do")
    ] = UNSET


_OPT: Final[dict[str, Any]] = {
    "scope": "read",
    "problems": ("revision-not-found", "conflict", "report-failed", "store-failed"),
}


@get(
    "/v1/revisions/{revision:str}/report",
    operation_id="report",
    tags=["revisions"],
    opt={**_OPT, "query": ReportQuery},
)
async def read_report(revision: FromPath[str], request: StrictRequest) -> ReportAnswer:
    """Report on a revision against the active one.

    In short; with `section` page by page, `kind` leaves only changes of that kind.
    """
    query = request.asked(ReportQuery)
    digest, report = await _report_asked(request, revision)
    if query.section is UNSET:
        return ReportAnswer(digest=digest, summary=summary_of(report, digest))
    return _section(digest, report, query)


@get(
    "/v1/revisions/{revision:str}/report.json",
    operation_id="whole_report",
    tags=["revisions"],
    opt={**_OPT, "answers": {"application/json": Report}},
)
async def read_whole_report(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Whole report, byte for byte.

    The sha256 of this body, without a content coding, is the digest to approve.
    """
    _, report = await _report_asked(request, revision)
    return Response(await done(report_bytes, report), media_type="application/json")


@get(
    "/v1/revisions/{revision:str}/report.html",
    operation_id="report_page",
    tags=["revisions"],
    opt={**_OPT, "answers": {"text/html": "the report as a page to read and print"}},
)
async def read_report_page(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Report as a page that an approver reads, on screen or on paper.

    It is the report of `report.json`, and loads nothing from anywhere.
    """
    digest, report = await _report_asked(request, revision)
    about = await read(request, about_of, report)
    return Response(
        await done(report_page, report, digest, about=about),
        media_type="text/html",
        headers={"content-security-policy": PAGE_CSP},
    )


async def _report_asked(request: StrictRequest, revision: str) -> tuple[str, Report]:
    """Digest and report on the revision that a path names."""
    asked = named(request, revision)
    kept = await read(request, report_kept, asked)
    if kept is not None:
        return kept
    # A report that is made is kept, so whoever has it made has a name.
    by = await caller_of(request)
    async with turn(request):
        return await done(
            report_for, store_of(request), asked, by=by, at=moment(), reporter=replayed_apart
        )


def _section(digest: str, report: Report, query: ReportQuery) -> ReportAnswer:
    impact, after, limit = report.impact, query.after, query.limit
    changes = [c for c in impact.changes if query.kind is UNSET or c.kind == query.kind]
    lists: dict[str, tuple[str, Any]] = {
        "rows": ("rows", report.rows),
        "doubts": ("doubts", report.doubts),
        "changes": ("changes", changes),
        "ratings": ("ratings", impact.ratings),
        "coverage-lost": ("ends", impact.coverage_lost),
        "coverage-gained": ("ends", impact.coverage_gained),
        "converted": ("converted", report.converted),
    }
    field, items = lists[str(query.section)]
    shown, following = page(items, after, limit)
    answer = ReportAnswer(digest=digest, section=query.section, count=len(items), next=following)
    return structs.replace(answer, **{field: shown})


def summary_of(report: Report, digest: str) -> ReportSummary:
    """Report in short."""
    return ReportSummary(
        headline=headline_of(report),
        digest=digest,
        revision=report.revision,
        against=report.against,
        rules=report.rules,
        totals=report.impact.totals,
        row_changes=len(report.rows),
        strong=report.strong,
        doubts=report.doubts,
        rows=report.rows[:SHOWN],
        changes=report.impact.changes[:SHOWN],
        ratings=report.impact.ratings[:SHOWN],
        converted_count=len(report.converted),
        converted=report.converted[:SHOWN],
        not_replayed=report.impact.not_replayed,
    )
