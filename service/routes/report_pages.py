"""The report on a proposal as a page that an approver reads, on screen or on paper."""

from litestar import Response, get
from litestar.params import FromPath

from service.edge.decoding import StrictRequest
from service.pages.report import PAGE_CSP, about_of, report_page
from service.routes.asking import done, store_of
from service.routes.reports import report_asked


@get(
    "/v1/revisions/{revision:str}/report.html",
    operation_id="report_page",
    tags=["revisions"],
    opt={
        "scope": "read",
        "answers": {"text/html": "the report as a page to read and print"},
        "problems": ("revision-not-found", "conflict", "report-failed", "store-failed"),
    },
)
async def read_report_page(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Report as a page that an approver reads, on screen or on paper.

    It is the report of `report.json`, and loads nothing from anywhere.
    """
    digest, report = await report_asked(request, revision)
    about = await done(about_of, store_of(request), report)
    return Response(
        await done(report_page, report, digest, about=about),
        media_type="text/html",
        headers={"content-security-policy": PAGE_CSP},
    )
