"""Where a revision stands: what was said of it since, from the records."""

from collections.abc import Collection, Iterable, Iterator

from catalog.revision import Revision, row_digest
from catalog.standing import Standing, Withdrawn
from service.store.records import Withdrawal


def standing_of(
    revision: Revision,
    active: str,
    activated: Collection[str],
    withdrawals: Iterable[Withdrawal],
) -> Standing:
    """Standing of a revision, with `active` answering now and `activated` all that ever did."""
    whole = None
    rows: dict[str, Withdrawn] = {}
    for withdrawal in withdrawals:
        if withdrawal.row is None:
            if withdrawal.revision == revision.id:
                whole = whole or _withdrawn(withdrawal)
            continue
        for ref in refs_of(revision, withdrawal):
            rows.setdefault(ref, _withdrawn(withdrawal))
    return Standing(
        state="active"
        if revision.id == active
        else ("superseded" if revision.id in activated else "not-active-yet"),
        whole=whole,
        rows=rows,
    )


def refs_of(revision: Revision, withdrawal: Withdrawal) -> Iterator[str]:
    """Row of a revision that a withdrawal hits: the one of that name, if it says the same still.

    A row that was mended under the same key says something else, and is not withdrawn by it.
    """
    if withdrawal.row is None:
        return
    table = withdrawal.row.partition("/")[0]
    for row in revision.tables.get(table, ()):
        if row.ref == withdrawal.row and row_digest(row) == withdrawal.row_digest:
            yield row.ref


def _withdrawn(withdrawal: Withdrawal) -> Withdrawn:
    return Withdrawn(reason=withdrawal.reason, by=withdrawal.by, on=withdrawal.at[:10])
