"""Lines that people write beside a step: read on a terminal, on paper and in findings."""

from collections.abc import Mapping

from catalog.publishing.words import counted
from service.office.refused import OfficeError
from service.store.records import WHY


def refuse_unseen(lines: Mapping[str, str]) -> None:
    """Raise a refusal where one of these lines, by its pointer, is blank or cannot all be seen.

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
