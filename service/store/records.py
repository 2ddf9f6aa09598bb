"""What the store keeps of publishing: who did what, when, to which revision; nothing is changed."""

import unicodedata
from typing import Annotated, ClassVar, Final, Literal, get_args

from msgspec import Meta, Struct

from catalog.wanted import about

Moment = Annotated[str, Meta(extra_json_schema={"format": "date-time"})]
WHY: Final = "why, for those who read the trail later"
Why = Annotated[str, about(WHY)]
Scope = Literal["read", "propose", "approve", "activate", "record"]
"""What a key may do; each is given on its own, none includes another."""

Action = Literal["propose", "report", "approve", "activate", "withdraw", "make-key", "revoke-key"]


class Record(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What every record has: its number in its table, counted from 1 without a gap, and the time.

    `at` is UTC, RFC 3339 with `Z`. `by` is the name of whoever did it.
    """

    action: ClassVar[Action]
    """The step that writes this kind; the k-th audit entry of a step is that of record k."""
    noun: ClassVar[str]
    """What a person calls it."""
    table: ClassVar[str]
    """Where the store keeps it."""

    n: Annotated[int, about("number of the record, from 1 without a gap")]
    at: Annotated[Moment, about("moment in UTC, such as `2026-03-02T08:00:00Z`")]
    by: Annotated[str, about("name of whoever did it")]


class Proposal(Record, frozen=True, kw_only=True):
    """A revision as it came in: `revision` is its id, `base` the one whose other tables it took."""

    action, noun, table = "propose", "proposal", "proposals"

    revision: str
    base: str | None
    note: str


class Report(Record, frozen=True, kw_only=True):
    """A report on a revision against another (None: against nothing); its bytes are a blob."""

    action, noun, table = "report", "report", "reports"

    revision: str
    against: str | None
    digest: str


class Acknowledged(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A strong doubt that an approver has looked at, and why it stands all the same."""

    doubt: Annotated[str, about("id of the strong doubt")]
    reason: Annotated[str, about("why it stands all the same")]


class Approval(Record, frozen=True, kw_only=True):
    """A second person has read this report and answers for the revision."""

    action, noun, table = "approve", "approval", "approvals"

    revision: Annotated[str, about("id of the revision")]
    against: Annotated[str | None, about("id of the revision that was active; null where none was")]
    report: Annotated[str, about("digest of the report that was read")]
    note: Why
    acknowledged: Annotated[
        tuple[Acknowledged, ...], about("strong doubts of the report, each with a reason")
    ]


class Activation(Record, frozen=True, kw_only=True):
    """From here on questions are answered from this revision; the last one holds.

    `approval` is the number of the approval that it rests on, None where the revision had been
    active before (going back) or is the first of all.
    """

    action, noun, table = "activate", "activation", "activations"

    revision: Annotated[str, about("id of the revision that answers from here on")]
    previous: Annotated[str | None, about("id of the one before; null for the first")]
    approval: Annotated[
        int | None,
        about("number of the approval that it rests on; null for going back and for the first"),
    ]
    note: Why


class Withdrawal(Record, frozen=True, kw_only=True):
    """No answer may rest on this any more: a whole revision, or one of its rows.

    A row is known by its content: `row_digest` is the sha256 of its line of canonical JSON, so the
    same row is withdrawn in every revision that holds it. Both are None for a whole revision.
    """

    action, noun, table = "withdraw", "withdrawal", "withdrawals"

    revision: Annotated[str, about("id of the revision")]
    row: Annotated[str | None, about("name of the row; null for the whole revision")]
    row_digest: Annotated[
        str | None, about("sha256 of the row's canonical JSON; null for the whole revision")
    ]
    reason: Why


class Key(Record, frozen=True, kw_only=True):
    """An API key: its public id, who holds it, what they may do, and the hash of its secret."""

    action, noun, table = "make-key", "key", "keys"

    id: str
    name: str
    scopes: tuple[Scope, ...]
    secret_hash: str
    expires_at: str | None


class KeyRevocation(Record, frozen=True, kw_only=True):
    """A key that is good no longer."""

    action, noun, table = "revoke-key", "revocation", "key_revocations"

    key: str
    reason: str


AnyRecord = Proposal | Report | Approval | Activation | Withdrawal | Key | KeyRevocation
KINDS: Final[tuple[type[AnyRecord], ...]] = get_args(AnyRecord)


class AuditEntry(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One step in the chain: `hash` covers every other field, `previous` is the hash before it.

    `record` is the sha256 of the canonical JSON of the record that the step wrote, so a record that
    was changed afterwards does not fit its entry. `subject` is the revision's or the key's id.
    """

    n: Annotated[int, about("number of the entry, from 1 without a gap")]
    at: Annotated[Moment, about("moment in UTC, such as `2026-03-02T08:00:00Z`")]
    by: Annotated[str, about("name of whoever did it")]
    action: Annotated[Action, about("what was done")]
    subject: Annotated[str, about("id of the revision or the key")]
    note: Annotated[str, about("why, as it was said then")]
    record: Annotated[str, about("sha256 of the canonical JSON of the record")]
    previous: Annotated[str, about("hash of the entry before")]
    hash: Annotated[str, about("sha256 over every other field of this entry")]


def person(name: str) -> str:
    """What is the same for every spelling of a name: only letters and digits count, not their case.

    The name of a key stands for a person, however it is spelt.

    >>> person("Anna Lind") == person("anna.lind ")
    True
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    return "".join(letter for letter in plain if letter.isalnum())


def alphabets(name: str) -> set[str]:
    """Alphabets of a name that hold letters which look alike.

    >>> sorted(alphabets("\N{CYRILLIC SMALL LETTER O}ffice"))
    ['CYRILLIC', 'LATIN']
    """
    words = {unicodedata.name(letter, "").partition(" ")[0] for letter in name if letter.isalpha()}
    return words & {"LATIN", "CYRILLIC", "GREEK", "ARMENIAN"}
