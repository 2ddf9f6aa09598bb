"""Why the office cannot do what it is asked, in a kind that HTTP and command line both know."""

from typing import Literal

from catalog.publishing import Refusal

Kind = Literal[
    "revision-not-found", "conflict", "not-allowed", "not-publishable", "not-our-form", "too-large"
]


class OfficeError(Exception):
    """A step that is refused; nothing of it was kept.

    `refusals` are the reasons why tables are no revision, `errors` what is wrong field by field.
    """

    def __init__(
        self,
        kind: Kind,
        detail: str,
        *,
        refusals: tuple[Refusal, ...] = (),
        errors: tuple[tuple[str, str], ...] = (),
    ) -> None:
        super().__init__(detail)
        self.kind = kind
        self.detail = detail
        self.refusals = refusals
        self.errors = errors


def not_stored(revision: str) -> OfficeError:
    """Refusal of a revision that was never stored."""
    detail = f"`{revision}` is not stored here: see GET /v1/revisions for the ids that are"
    return OfficeError("revision-not-found", detail)
