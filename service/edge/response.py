"""What a response says of its own body: length, coding, ETag, and whether the caller has it."""

import asyncio
import base64
import hashlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final, TypeVar

from litestar.types import HTTPScope
from msgspec import Struct

from service.edge.coding import CODINGS, IDENTITY, chosen, coded, decoded
from service.edge.problems import MEDIA_TYPE, ProblemError

Headers = list[tuple[bytes, bytes]]
T = TypeVar("T")

SMALL_BYTES: Final = 1024
"""Size below which a body is not coded: it fits into one packet as it is."""
LARGE_BYTES: Final = 65_536
"""Size from which a body is hashed and coded beside the event loop, so that others are answered."""
PIECE_BYTES: Final = 65_536
"""Most bytes that are sent at once."""
ETAG: Final = f'"[0-9a-f]{{64}}(-({"|".join(CODINGS)}))?"'
"""Pattern of an ETag: the hash of the body without a coding, and the coding."""

_PACKED: Final = b"application/vnd.openxmlformats-"
"""How the media types begin whose content is compressed already."""


class Answer(Struct, frozen=True, gc=False):
    """A response: its body in the parts in which it was made, `stored` in a coding or in none."""

    status: int
    headers: Headers
    parts: Sequence[bytes] = ()
    stored: str = IDENTITY


def problem_response(problem: ProblemError, request_id: str) -> Answer:
    """Response that tells a problem."""
    headers = [(b"content-type", MEDIA_TYPE.encode())]
    headers += [(name.encode(), value.encode()) for name, value in problem.headers]
    return Answer(problem.status, headers, (problem.body(request_id),))


def made(status: int, headers: Headers, parts: Sequence[bytes]) -> Answer:
    """Response as a handler made it; one that says a Content-Encoding has its body stored in it."""
    for name, value in headers:
        if name == b"content-encoding":
            kept = [each for each in headers if each[0] != name]
            return Answer(status, kept, parts, value.decode())
    return Answer(status, headers, parts)


async def as_read(scope: HTTPScope, answer: Answer) -> Answer:
    """Response to a read, with its ETag, and 304 where the caller has it; others as they are.

    A response may bring an ETag of its own, a strong one, and its own Cache-Control. Each coding of
    a body has a tag of its own.

    Errors: `ProblemError` where `If-Match` names another body; RFC 9110 has it looked at first.
    """
    if answer.status != 200 or scope["method"] not in {"GET", "HEAD"}:
        return answer
    own = dict(answer.headers)
    plain = own.get(b"etag") or _etag(await _beside(_sha256, answer.parts))
    etag = _tag_in(plain, _coding(scope, answer))
    wanted = _tags(scope, b"if-match")
    if wanted and not wanted & {b"*", etag}:
        raise ProblemError("changed", "the body is not the one that If-Match names: read it anew")
    headers = [each for each in answer.headers if each[0] != b"etag"]
    headers.append((b"etag", etag))
    if b"cache-control" not in own:
        headers.append((b"cache-control", b"no-cache"))
    if {tag.removeprefix(b"W/") for tag in _tags(scope, b"if-none-match")} & {b"*", etag}:
        return Answer(304, [each for each in headers if each[0] != b"content-type"])
    return Answer(200, headers, answer.parts, answer.stored)


def etags_of(body: bytes) -> frozenset[str]:
    """Every ETag under which a body may have been read, in whatever coding."""
    plain = _etag(_sha256((body,)))
    return frozenset(_tag_in(plain, coding).decode() for coding in (IDENTITY, *CODINGS))


async def finished(scope: HTTPScope, answer: Answer) -> tuple[Headers, Sequence[bytes]]:
    """Headers and parts of a response as it is sent; only reads that came out well may be kept.

    HEAD has the length that GET has, and none of the bytes. The digest is that of the bytes sent,
    none of them for HEAD, 204 and 304 (RFC 9530, B.2).
    """
    coding = _coding(scope, answer)
    parts: Sequence[bytes] = answer.parts
    if coding != answer.stored:
        parts = await _beside(_recoded, parts, answer.stored, coding)
    headers = [each for each in answer.headers if each[0] != b"content-length"]
    if not any(name == b"cache-control" for name, _ in headers):
        headers.append((b"cache-control", b"no-store"))
    if coding != IDENTITY:
        headers.append((b"content-encoding", coding.encode()))
    if answer.status != 204:
        headers.append((b"vary", b"Accept-Encoding"))
        if answer.status != 304:
            headers.append((b"content-length", str(_size(parts)).encode()))
    if scope["method"] == "HEAD":
        parts = ()
    digest = base64.b64encode(await _beside(_sha256, parts))
    headers.append((b"content-digest", b"sha-256=:" + digest + b":"))
    return headers, parts


def pieces(parts: Iterable[bytes]) -> Iterator[bytes]:
    """Parts, the long ones in pieces, none of which holds the event loop while it is sent."""
    for part in parts:
        for start in range(0, len(part), PIECE_BYTES):
            yield part[start : start + PIECE_BYTES]


def _coding(scope: HTTPScope, answer: Answer) -> str:
    """Coding in which a caller is sent the body of a response."""
    accepted = b",".join(value for name, value in scope["headers"] if name == b"accept-encoding")
    size = _size(answer.parts) if accepted else 0
    if not size:
        return IDENTITY
    if answer.stored != IDENTITY:  # among equals as it is stored
        return chosen(accepted, (answer.stored, *CODINGS))
    packed = any(n == b"content-type" and v.startswith(_PACKED) for n, v in answer.headers)
    return chosen(accepted, worth=size >= SMALL_BYTES and not packed)


def _recoded(parts: Sequence[bytes], stored: str, coding: str) -> Sequence[bytes]:
    if stored != IDENTITY:
        parts = (decoded(b"".join(parts)),)
    return parts if coding == IDENTITY else (coded(parts, coding),)


async def _beside(step: Callable[..., T], parts: Sequence[bytes], *more: str) -> T:
    """What a step makes of a body, made beside the event loop where the body is large."""
    if _size(parts) < LARGE_BYTES:
        return step(parts, *more)
    return await asyncio.to_thread(step, parts, *more)


def _size(parts: Iterable[bytes]) -> int:
    return sum(map(len, parts))


def _sha256(parts: Iterable[bytes]) -> bytes:
    sha256 = hashlib.sha256()
    for part in parts:
        sha256.update(part)
    return sha256.digest()


def _etag(sha256: bytes) -> bytes:
    return b'"' + sha256.hex().encode() + b'"'


def _tag_in(plain: bytes, coding: str) -> bytes:
    """ETag of a body in a coding, from its ETag without."""
    return plain if coding == IDENTITY else plain[:-1] + b"-" + coding.encode() + b'"'


def _tags(scope: HTTPScope, header: bytes) -> set[bytes]:
    """Entity tags that a header of the request names."""
    given = b",".join(v for n, v in scope["headers"] if n == header)
    return {tag.strip() for tag in given.split(b",")} - {b""}
