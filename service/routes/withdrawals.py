"""Withdraw a revision or rows of it: from then on no answer rests on them."""

from typing import Annotated, Final

from litestar import post
from litestar.params import FromPath
from msgspec import Meta, Struct

from catalog.wanted import about
from service.current import moment
from service.edge.decoding import StrictRequest
from service.office.activating import withdraw
from service.routes.asking import caller_of, done, store_of, written
from service.routes.words import Note
from service.store.records import Withdrawal

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
