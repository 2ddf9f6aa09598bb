"""Activate a revision, or go back to an older one; withdraw a revision or rows of it."""

from catalog.publishing import refusals_of
from catalog.publishing.words import counted
from catalog.revision import row_digest
from catalog.seed import shipped_spares
from catalog.withdrawing import by_ref
from service.office.proposing import stored_revision
from service.office.refused import OfficeError, refuse_unseen
from service.office.reporting import is_of_today
from service.office.standing import whole_withdrawn
from service.store.records import Activation, Withdrawal, person
from service.store.sqlite.keeping import Store
from service.store.sqlite.reading import Records


def activate(
    store: Store, revision: str, *, expected: int, note: str, by: str, at: str
) -> Activation:
    """Have a revision answer from here on; one that did before needs no approval to go back.

    `expected` is the number of the activation that the caller has seen last. Errors: `OfficeError`,
    `conflict` where another activation holds, the revision is active, withdrawn, or not approved
    against the active one.
    """
    refuse_unseen({"/note": note})
    with store.changing() as change:
        last = change.last_activation()
        seen = 0 if last is None else last.n
        if seen != expected:
            detail = f"activation {seen} holds, not {expected}: read GET /v1/active and decide anew"
            raise OfficeError("conflict", detail)
        tables = stored_revision(change, revision)
        if last is not None and last.revision == revision:
            raise OfficeError("conflict", "this revision is active already")
        if whole_withdrawn(change, revision):
            detail = "this revision is withdrawn: no answer may rest on it, activate another"
            raise OfficeError("conflict", detail)
        if refusals := refusals_of(tables, None, shipped_spares()):
            detail = (
                f"these tables cannot answer by the rules of today ({refusals[0].message}): mend "
                "them, and propose them anew"
            )
            raise OfficeError("conflict", detail, refusals=refusals)
        return change.add(
            Activation(
                n=change.next_number(Activation),
                at=at,
                by=by,
                revision=revision,
                previous=None if last is None else last.revision,
                approval=_approval(change, revision, last),
                note=note,
            )
        )


def withdraw(
    store: Store,
    revision: str,
    *,
    rows: tuple[str, ...],
    whole: bool,
    reason: str,
    by: str,
    at: str,
) -> tuple[Withdrawal, ...]:
    """Withdraw rows of a revision, or the whole of it; what is withdrawn already stays as it is.

    Errors: `OfficeError`, `revision-not-found`, `not-our-form` with every row that is not there.
    """
    if bool(rows) == whole:
        detail = "name the rows that are withdrawn, or withdraw the whole revision: one of the two"
        raise OfficeError("not-our-form", detail, errors=(("/rows", detail),))
    refuse_unseen({"/reason": reason})
    with store.changing() as change:
        known = by_ref(stored_revision(change, revision))
        errors = tuple(
            (f"/rows/{number}", f"`{ref}` is no row of this revision")
            for number, ref in enumerate(rows)
            if ref not in known
        )
        if errors:
            raise OfficeError(
                "not-our-form", f"{counted(len(errors), 'row')} not found", errors=errors
            )
        wanted: list[tuple[str | None, str | None]] = [
            (ref, row_digest(known[ref])) for ref in dict.fromkeys(rows)
        ]
        done = []
        earlier_ones = {_what(each): each for each in reversed(change.withdrawals())}
        for row, digest in wanted or [(None, None)]:
            earlier = earlier_ones.get((None if row else revision, row, digest))
            if earlier is None:
                n = change.next_number(Withdrawal)
                new = Withdrawal(
                    n=n, at=at, by=by, revision=revision, row=row, row_digest=digest, reason=reason
                )
                earlier = change.add(new)
            done.append(earlier)
        return tuple(done)


def _approval(records: Records, revision: str, last: Activation | None) -> int | None:
    """Number of the approval that an activation rests on, None where it was active before."""
    if any(each.revision == revision for each in records.activations()):
        return None
    against = None if last is None else last.revision
    left: list[str] = []
    for approval in reversed(records.approvals(revision)):
        if approval.against != against or not is_of_today(records.report(approval.report)):
            continue
        if not _has_left(records, approval.by):
            return approval.n
        left.append(approval.by)
    if left:
        detail = (
            f"every key of `{left[0]}`, who approved it, is revoked: have another person approve it"
        )
        raise OfficeError("conflict", detail)
    detail = (
        "nobody has approved this revision against the one that is active, by the rules of today: "
        "have its report read and approved first"
    )
    raise OfficeError("conflict", detail)


def _has_left(records: Records, name: str) -> bool:
    """Whether a person had keys, and all of them are revoked: a stolen key may have approved."""
    made, revocations = records.keys(), records.revocations()
    revoked = {each.key for each in revocations}
    theirs = [key.id for key in made if person(key.name) == person(name)]
    return bool(theirs) and revoked.issuperset(theirs)


def _what(withdrawal: Withdrawal) -> tuple[str | None, str | None, str | None]:
    """What is withdrawn: a row by its content wherever it stands, or a whole revision."""
    if withdrawal.row is None:
        return withdrawal.revision, None, None
    return None, withdrawal.row, withdrawal.row_digest
