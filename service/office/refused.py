"""Why the office cannot do what it is asked, in a kind that HTTP and command line both know."""

from collections.abc import Mapping
from typing import Literal

from catalog.publishing import Refusal, counted
from service.store.records import WHY

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


def refuse_unseen(lines: Mapping[str, str]) -> None:
    """Raise a refusal where one of these lines, by its pointer, is blank or cannot all be seen.

    People write them beside a step: they are read on a terminal, on paper and in findings.
    Errors: `OfficeError` `not-our-form` with the pointer of every such line.
    """
    errors = tuple((pointer, detail) for pointer, text in lines.items() if (detail := _fault(text)))
    if errors:
        raise OfficeError("not-our-form", f"{counted(len(errors), 'line')} to mend", errors=errors)


def _fault(text: str) -> str:
    if not text.strip():
        return f"is blank: say {WHY}"
    if text.isprintable():
        return ""
    at = next(n for n, letter in enumerate(text) if not letter.isprintable())
    return (
        f"holds a letter that cannot be seen, U+{ord(text[at]):04X} after {at} letters: type the "
        "line again, with plain spaces and no line break"
    )
