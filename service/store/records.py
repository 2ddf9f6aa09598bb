"""What the store keeps of publishing: who did what, when, to which revision; nothing is changed."""

from typing import Literal

from msgspec import Struct

Scope = Literal["read", "propose", "approve", "activate", "record"]
"""What a key may do; each is given on its own, none includes another."""

Action = Literal["propose", "report", "approve", "activate", "withdraw", "make-key", "revoke-key"]


class Record(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every record has: its number in its table, counted from 1 without a gap, and the time.

    `at` is UTC, RFC 3339 with `Z`. `by` is the name of whoever did it.
    """

    n: int
    at: str
    by: str


class Proposal(Record, frozen=True, kw_only=True):
    """A revision as it came in: `revision` is its id, `base` the one whose other tables it took."""

    revision: str
    base: str | None
    note: str


class Report(Record, frozen=True, kw_only=True):
    """A report on a revision against another (None: against nothing); its bytes are a blob."""

    revision: str
    against: str | None
    digest: str


class Acknowledged(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A strong doubt that an approver has looked at, and why it stands all the same."""

    doubt: str
    reason: str


class Approval(Record, frozen=True, kw_only=True):
    """A second person has read this report and answers for the revision."""

    revision: str
    against: str | None
    report: str
    note: str
    acknowledged: tuple[Acknowledged, ...]


class Activation(Record, frozen=True, kw_only=True):
    """From here on questions are answered from this revision; the last one holds.

    `approval` is the number of the approval that it rests on, None where the revision had been
    active before (going back) or is the first of all.
    """

    revision: str
    previous: str | None
    approval: int | None
    note: str


class Withdrawal(Record, frozen=True, kw_only=True):
    """No answer may rest on this any more: a whole revision, or one of its rows.

    A row is known by its content: `row_digest` is the sha256 of its line of canonical JSON, so the
    same row is withdrawn in every revision that holds it. Both are None for a whole revision.
    """

    revision: str
    row: str | None
    row_digest: str | None
    reason: str


class Key(Record, frozen=True, kw_only=True):
    """An API key: its public id, who holds it, what they may do, and the hash of its secret."""

    id: str
    name: str
    scopes: tuple[Scope, ...]
    secret_hash: str
    expires_at: str | None


class KeyRevocation(Record, frozen=True, kw_only=True):
    """A key that is good no longer."""

    key: str
    reason: str


AnyRecord = Proposal | Report | Approval | Activation | Withdrawal | Key | KeyRevocation


class AuditEntry(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One step in the chain: `hash` covers every other field, `previous` is the hash before it.

    `record` is the sha256 of the canonical JSON of the record that the step wrote, so a record that
    was changed afterwards does not fit its entry. `subject` is the revision's or the key's id.
    """

    n: int
    at: str
    by: str
    action: Action
    subject: str
    note: str
    record: str
    previous: str
    hash: str


class Stamp(Struct, frozen=True):
    """The last activation and the last withdrawal: what is followed changes only with them."""

    activation: int
    withdrawal: int
