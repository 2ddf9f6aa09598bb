"""The audit trail: every step of the office in a chain of hashes; nothing here changes it."""

from typing import Annotated

from litestar import get
from msgspec import UNSET, Struct

from catalog.wanted import about
from service.edge.decoding import StrictRequest
from service.routes.asking import done, store_of
from service.routes.paging import Next, PageQuery, page
from service.store.records import AuditEntry
from service.store.sqlite.keeping import Store


class AuditAnswer(Struct, frozen=True, kw_only=True):
    """Steps in order; ask on with the number of the last one as `after`.

    Keep the `hash` of the newest elsewhere: it is what shows that the end was cut off.
    """

    entries: Annotated[tuple[AuditEntry, ...], about("entries in order")]
    next: Next = UNSET


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
    query = request.asked(PageQuery)

    def read(store: Store) -> tuple[AuditEntry, ...]:
        with store.reading() as records:
            return records.audit(query.after, query.limit + 1)

    shown, more = page(await done(read, store_of(request)), 0, query.limit)
    return AuditAnswer(entries=shown, next=UNSET if more is UNSET else shown[-1].n)
