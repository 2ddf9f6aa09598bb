"""Where a revision stands: what was said of it since, from the records."""

from collections.abc import Collection, Mapping

from msgspec import Struct, structs

from catalog.older import renamed_ref
from catalog.revision import row_digest
from catalog.rows import AnyRow
from catalog.standing import Standing, Withdrawn
from catalog.withdrawing import WithdrawnRow, withdrawn_in
from service.store.records import Withdrawal
from service.store.sqlite.reading import Records
from service.store.sqlite.refusals import StoreDamagedError


class AllWithdrawn(Struct, frozen=True, kw_only=True):
    """Revisions that are withdrawn as a whole, and rows that are, in any revision."""

    whole: dict[str, Withdrawn]
    rows: tuple[WithdrawnRow, ...]


def standing_of(
    revision: str,
    rows: Mapping[str, AnyRow],
    active: str,
    activated: Collection[str],
    withdrawn: AllWithdrawn,
) -> Standing:
    """Standing of a revision and its rows, with `active` answering and `activated` all that did."""
    return Standing(
        state="active"
        if revision == active
        else ("superseded" if revision in activated else "not-active-yet"),
        whole=withdrawn.whole.get(revision),
        rows=withdrawn_in(rows, withdrawn.rows),
    )


def all_withdrawn(
    records: Records, known: dict[Withdrawal, WithdrawnRow] | None = None
) -> AllWithdrawn:
    """What is withdrawn at a moment of the store.

    `known` keeps what was found for each withdrawal of this store, so that it is read once.
    """
    given = records.withdrawals()
    return AllWithdrawn(
        whole={w.revision: _why(w) for w in reversed(given) if w.row is None},
        rows=tuple(
            _row(records, w, w.row, w.row_digest, {} if known is None else known)
            for w in given
            if w.row is not None and w.row_digest is not None
        ),
    )


def withdrawn_rows(records: Records) -> tuple[WithdrawnRow, ...]:
    """Rows that are withdrawn, in the order in which they were."""
    return all_withdrawn(records).rows


def _row(
    records: Records,
    withdrawal: Withdrawal,
    ref: str,
    digest: str,
    known: dict[Withdrawal, WithdrawnRow],
) -> WithdrawnRow:
    """Withdrawn row by the name and the digest that it has today.

    INVARIANT: a row that was withdrawn in an older format is withdrawn in today's too, and what
    cannot be read of inactive tables keeps no withdrawal and no key from being followed.
    """
    if withdrawal in known:
        return known[withdrawal]
    why = _why(withdrawal)
    try:
        older = records.older_row(withdrawal.revision, ref.partition("/")[0], digest)
    except StoreDamagedError:
        # Its digest of today is not known, so every row of its name is withdrawn until it is.
        reason = f"{why.reason} (its table is damaged, so whatever this row says is withdrawn)"
        why = structs.replace(why, reason=reason)
        return WithdrawnRow(row=renamed_ref(ref), digest=None, why=why)
    if older is not None:
        ref, digest = older.ref, row_digest(older)
    known[withdrawal] = WithdrawnRow(row=ref, digest=digest, why=why)
    return known[withdrawal]


def whole_withdrawn(records: Records, revision: str) -> bool:
    """Whether a revision is withdrawn as a whole."""
    return any(w.row is None and w.revision == revision for w in records.withdrawals())


def _why(withdrawal: Withdrawal) -> Withdrawn:
    return Withdrawn(reason=withdrawal.reason, by=withdrawal.by, on=withdrawal.at[:10])
