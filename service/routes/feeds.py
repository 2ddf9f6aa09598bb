"""Feeds of what happened: activations, withdrawals, and every step; nothing here changes them."""

from collections.abc import Callable
from typing import Annotated, TypeVar

from litestar import get
from msgspec import UNSET, Struct, UnsetType

from catalog.wanted import about
from service.edge.decoding import StrictRequest
from service.routes.asking import read
from service.routes.words import Next, PageQuery, page
from service.store.records import Activation, AuditEntry, Withdrawal
from service.store.sqlite.reading import Records

E = TypeVar("E", Activation, AuditEntry, Withdrawal)


class ActivationsAnswer(Struct, frozen=True, kw_only=True):
    """Activations in order; ask on with the number of the last one as `after`."""

    activations: Annotated[tuple[Activation, ...], about("activations in order")]
    next: Next = UNSET


class WithdrawalsAnswer(Struct, frozen=True, kw_only=True):
    """Withdrawals in order; ask on with the number of the last one as `after`."""

    withdrawals: Annotated[tuple[Withdrawal, ...], about("withdrawals in order")]
    next: Next = UNSET


class AuditAnswer(Struct, frozen=True, kw_only=True):
    """Steps in order; ask on with the number of the last one as `after`.

    Keep the `hash` of the newest elsewhere: it is what shows that the end was cut off.
    """

    entries: Annotated[tuple[AuditEntry, ...], about("entries in order")]
    next: Next = UNSET


@get(
    "/v1/activations",
    operation_id="activations",
    tags=["feeds"],
    opt={"scope": "read", "query": PageQuery, "problems": ("store-failed",)},
)
async def read_activations(request: StrictRequest) -> ActivationsAnswer:
    """Feed of activations: every change of what answers, with who, when and why.

    In order, page by page: ask on with the number of the last one as `after`.
    """
    shown, following = await _page(request, Records.activations)
    return ActivationsAnswer(activations=shown, next=following)


@get(
    "/v1/withdrawals",
    operation_id="withdrawals",
    tags=["feeds"],
    opt={"scope": "read", "query": PageQuery, "problems": ("store-failed",)},
)
async def read_withdrawals(request: StrictRequest) -> WithdrawalsAnswer:
    """Feed of withdrawals: what no answer may rest on any more, and why.

    In order, page by page. Look back through what was pressed by a row that is withdrawn.
    """

    def later(records: Records, after: int, _limit: int) -> tuple[Withdrawal, ...]:
        return tuple(each for each in records.withdrawals() if each.n > after)

    shown, following = await _page(request, later)
    return WithdrawalsAnswer(withdrawals=shown, next=following)


@get(
    "/v1/audit",
    operation_id="audit",
    tags=["feeds"],
    opt={"scope": "read", "query": PageQuery, "problems": ("store-failed", "store-damaged")},
)
async def read_audit(request: StrictRequest) -> AuditAnswer:
    """Every step that was taken: who, when, what, and the hash that ties it to the one before.

    In order, page by page; nothing here is ever changed.
    """
    shown, following = await _page(request, Records.audit)
    return AuditAnswer(entries=shown, next=following)


async def _page(
    request: StrictRequest, step: Callable[[Records, int, int], tuple[E, ...]]
) -> tuple[tuple[E, ...], int | UnsetType]:
    """Entries after the number that a query names, and what to ask as `after` for the next page."""
    query = request.asked(PageQuery)
    found = await read(request, step, query.after, query.limit + 1)
    shown, more = page(found, 0, query.limit)
    return shown, UNSET if more is UNSET else shown[-1].n
