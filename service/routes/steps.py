"""Approve a revision by the digest of its report; withdraw one, or rows of it."""

from typing import Annotated, Final

from litestar import Response, post
from litestar.params import FromPath
from msgspec import Meta, Struct, json

from catalog.wanted import about
from service.current import moment
from service.edge.decoding import StrictRequest
from service.office.activating import withdraw
from service.office.approving import approve
from service.routes.asking import caller_of, done, store_of, written
from service.routes.words import Digest, Note
from service.store.records import Acknowledged, Approval, Withdrawal


class Acknowledgement(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A strong doubt, and why it stands all the same."""

    doubt: Annotated[
        str, Meta(min_length=1, max_length=400), about("id of a strong doubt of the report")
    ]
    reason: Annotated[Note, about("why it stands all the same")]


class ApprovalQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is approved: the report that was read, with a reason for every strong doubt of it."""

    report: Annotated[Digest, about("digest of the report that was read")]
    note: Note
    acknowledged: Annotated[
        tuple[Acknowledgement, ...],
        Meta(max_length=10_000),
        about("strong doubts of the report, each with a reason; left out: it has none"),
    ] = ()


@post(
    "/v1/revisions/{revision:str}/approvals",
    operation_id="approve",
    tags=["revisions"],
    status_code=201,
    opt={
        "scope": "approve",
        "asks": ApprovalQuestion,
        "answers": {"application/json": Approval},
        "also": {200: "the first approval: this person had approved this report"},
        "problems": ("revision-not-found", "conflict", "store-failed"),
    },
)
async def approve_revision(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Approve a revision: another person than the proposer has read the report against the active.

    Each strong doubt of the report is acknowledged with a reason. Who approves the same report
    again gets the first approval, with its note and its reasons, and nothing is kept.
    """
    data = await request.question(ApprovalQuestion)
    approved = await done(
        approve,
        store_of(request),
        written(revision),
        report=data.report,
        acknowledged=tuple(
            Acknowledged(doubt=each.doubt, reason=each.reason) for each in data.acknowledged
        ),
        note=data.note,
        by=await caller_of(request),
        at=moment(),
    )
    return Response(
        json.encode(approved.approval),
        status_code=201 if approved.new else 200,
        media_type="application/json",
    )


RowName = Annotated[str, Meta(min_length=1, max_length=400)]


_ROWS: Final = {
    "required": ["rows"],
    "properties": {"reason": {}, "rows": {"minItems": 1}, "whole": {"const": False}},
}
_WHOLE: Final = {
    "required": ["whole"],
    "properties": {"reason": {}, "rows": {"maxItems": 0}, "whole": {"const": True}},
}


class WithdrawalQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is withdrawn and why: `rows` as answers name them (`targets/S/16/...`), or `whole`."""

    reason: Note
    rows: Annotated[
        tuple[RowName, ...],
        Meta(max_length=1000),
        about("names of the rows; must be left out with `whole`"),
    ] = ()
    whole: Annotated[
        bool, about("whether the whole revision is withdrawn; else `rows` names what is")
    ] = False


class WithdrawalAnswer(Struct, frozen=True, kw_only=True):
    """What is withdrawn by now; an earlier withdrawal of the same stays as it was."""

    withdrawals: Annotated[tuple[Withdrawal, ...], about("what is withdrawn by now")]


@post(
    "/v1/revisions/{revision:str}/withdrawals",
    operation_id="withdraw",
    tags=["revisions"],
    status_code=201,
    opt={
        "scope": "activate",
        "asks": WithdrawalQuestion,
        "form": {"anyOf": [_ROWS, _WHOLE]},
        "problems": ("revision-not-found", "conflict", "store-failed"),
    },
)
async def withdraw_rows(revision: FromPath[str], request: StrictRequest) -> WithdrawalAnswer:
    """Withdraw a whole revision or rows of it, from this moment on and for good.

    Every answer that rests on it, pinned or not, is then rejected. A row that was mended under the
    same key in another revision is another row.
    """
    data = await request.question(WithdrawalQuestion)
    done_now = await done(
        withdraw,
        store_of(request),
        written(revision),
        rows=data.rows,
        whole=data.whole,
        reason=data.reason,
        by=await caller_of(request),
        at=moment(),
    )
    return WithdrawalAnswer(withdrawals=done_now)
