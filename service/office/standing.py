"""Where a revision stands: what was said of it since, from the records."""

from collections.abc import Collection, Iterable, Mapping

from catalog.rows import AnyRow
from catalog.standing import Standing, Withdrawn
from catalog.withdrawing import WithdrawnRow, withdrawn_in
from service.store.records import Withdrawal
from service.store.store import Records


def standing_of(
    revision: str,
    rows: Mapping[str, AnyRow],
    active: str,
    activated: Collection[str],
    withdrawals: Iterable[Withdrawal],
) -> Standing:
    """Standing of a revision and its rows, with `active` answering and `activated` all that did."""
    given = tuple(withdrawals)
    whole = next((_why(w) for w in given if w.row is None and w.revision == revision), None)
    return Standing(
        state="active"
        if revision == active
        else ("superseded" if revision in activated else "not-active-yet"),
        whole=whole,
        rows=withdrawn_in(rows, withdrawn_rows(given)),
    )


def withdrawn_rows(withdrawals: Iterable[Withdrawal]) -> tuple[WithdrawnRow, ...]:
    """Rows that are withdrawn, in the order in which they were."""
    return tuple(
        WithdrawnRow(row=w.row, digest=w.row_digest, why=_why(w))
        for w in withdrawals
        if w.row is not None and w.row_digest is not None
    )


def whole_withdrawn(records: Records, revision: str) -> bool:
    """Whether a revision is withdrawn as a whole."""
    return any(w.row is None and w.revision == revision for w in records.withdrawals())


def _why(withdrawal: Withdrawal) -> Withdrawn:
    return Withdrawn(reason=withdrawal.reason, by=withdrawal.by, on=withdrawal.at[:10])
