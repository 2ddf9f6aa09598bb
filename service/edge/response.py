"""What a response says of its own body: length, ETag, and whether the caller has it already."""

import hashlib

from litestar.types import HTTPScope

from service.edge.problems import MEDIA_TYPE, ProblemError

Headers = list[tuple[bytes, bytes]]


def problem_response(problem: ProblemError, request_id: str) -> tuple[int, Headers, bytes]:
    """Status, headers and body of a problem."""
    headers = [(b"content-type", MEDIA_TYPE.encode())]
    headers += [(name.encode(), value.encode()) for name, value in problem.headers]
    return problem.status, headers, problem.body(request_id)


def as_read(
    scope: HTTPScope, status: int, headers: Headers, body: bytes
) -> tuple[int, Headers, bytes]:
    """Response to a read, with its ETag, and 304 where the caller has it; others as they are.

    A response may bring an ETag of its own, a strong one, and its own Cache-Control.

    Errors: `ProblemError` where `If-Match` names another body; RFC 9110 has it looked at first.
    """
    if status != 200 or scope["method"] not in {"GET", "HEAD"}:
        return status, headers, body
    own = dict(headers)
    etag = own.get(b"etag") or b'"' + hashlib.sha256(body).hexdigest().encode() + b'"'
    wanted = _tags(scope, b"if-match")
    if wanted and not wanted & {b"*", etag}:
        raise ProblemError("changed", "the body is not the one that If-Match names: read it anew")
    if b"etag" not in own:
        headers = [*headers, (b"etag", etag)]
    if b"cache-control" not in own:
        headers = [*headers, (b"cache-control", b"no-cache")]
    if {tag.removeprefix(b"W/") for tag in _tags(scope, b"if-none-match")} & {b"*", etag}:
        return 304, [(n, v) for n, v in headers if n != b"content-type"], b""
    return 200, headers, body


def measured(status: int, headers: Headers, body: bytes) -> Headers:
    """Headers with the length of the body; what is no read that came out well is not kept."""
    kept = [(n, v) for n, v in headers if n != b"content-length"]
    if not any(n == b"cache-control" for n, _ in kept):
        kept.append((b"cache-control", b"no-store"))
    if status not in {204, 304}:
        kept.append((b"content-length", str(len(body)).encode()))
    return kept


def _tags(scope: HTTPScope, header: bytes) -> set[bytes]:
    """Entity tags that a header of the request names."""
    given = b",".join(v for n, v in scope["headers"] if n == header)
    return {tag.strip() for tag in given.split(b",")} - {b""}
