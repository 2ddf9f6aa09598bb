"""Forms with files (multipart/form-data): the texts by their field, the files by their own names.

The framework's own reader writes files over 1 MB to the disk, which a service may be forbidden to
do, and fails on a part with an unknown charset. Here the body is in memory already, in its limit.
"""

import re
from collections.abc import Iterator
from typing import Final

from multipart import (  # type: ignore[import-untyped]
    MultipartError,
    MultipartSegment,
    PushMultipartParser,
    parse_options_header,
)

from catalog.facts import escaped
from service.edge.form import shown
from service.edge.problems import FieldError, ProblemError, refuse_if_any

MOST_PARTS: Final = 100
"""Texts and files of one form."""

_FOLDERS: Final = re.compile(r".*[/\\]", re.DOTALL)


def parts_of(body: bytes, content_type: str) -> tuple[dict[str, str], dict[str, bytes]]:
    """Texts of a form by their field, and its files by the names that they have with the caller.

    Errors: `ProblemError`, `media-type` where it is no such form, `bad-request` where it is torn,
    `not-our-form` where a name stands twice or a text is no UTF-8.
    """
    kind, options = parse_options_header(content_type)
    boundary = options.get("boundary", "")
    if kind != "multipart/form-data" or not boundary:
        named = f"`{content_type[:100]}`" if content_type else "no Content-Type"
        raise ProblemError("media-type", f"{named} is given: send multipart/form-data")
    try:
        parts = list(_parts(body, boundary))
    except (MultipartError, UnicodeError, LookupError) as error:
        detail = f"the form cannot be read, or has more than {MOST_PARTS} parts: send it anew"
        raise ProblemError("bad-request", detail) from error
    texts: dict[str, str] = {}
    files: dict[str, bytes] = {}
    errors: list[FieldError] = []
    for field, file, content in parts:
        name = field if file is None else file
        at = f"/{escaped(name)}"
        if name in (texts if file is None else files):
            errors.append(FieldError(at, f"`{shown(name)}` stands twice in the form: keep one"))
        elif file is not None:
            files[name] = content
        else:
            try:
                texts[name] = content.decode()
            except UnicodeDecodeError as broken:
                errors.append(FieldError(at, f"is not UTF-8 at byte {broken.start}"))
    refuse_if_any(errors, "not-our-form")
    return texts, files


def _parts(body: bytes, boundary: str) -> Iterator[tuple[str, str | None, bytes]]:
    """Field, name of the file if it is one, and content of each part."""
    content: list[bytes] = []
    segment: MultipartSegment | None = None
    with PushMultipartParser(boundary, max_segment_count=MOST_PARTS, strict=True) as parser:
        for event in parser.parse(body):
            if isinstance(event, MultipartSegment):
                segment, content = event, []
            elif event:
                content.append(bytes(event))
            elif segment is not None:
                # Some callers send the folders of a file along; a page sends a field for a file
                # that was not chosen without a name.
                file = None if segment.filename is None else _FOLDERS.sub("", segment.filename)
                if file != "" or content:
                    yield segment.name or "", file, b"".join(content)
