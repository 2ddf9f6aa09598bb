"""Problems: what is wrong with a request, as RFC 9457 has it, with every error and its pointer."""

from collections.abc import Iterable
from http import HTTPStatus
from typing import Annotated, Final

import msgspec
from msgspec import UNSET, Struct, UnsetType

from catalog.publishing import Refusal
from catalog.wanted import about

MEDIA_TYPE: Final = "application/problem+json"
MOST_TOLD: Final = 200
"""Errors that one problem tells; it says how many there are."""
MOST_TOLD_LETTERS: Final = 65_536
"""Letters of pointers and details after which no more errors are told."""
MOST_COUNTED: Final = 1000
"""Errors that are counted: a body made to be wrong must not keep the service busy."""

TITLES: Final[dict[str, tuple[HTTPStatus, str]]] = {
    "not-json": (HTTPStatus.BAD_REQUEST, "the body cannot be read as JSON"),
    "query": (HTTPStatus.BAD_REQUEST, "the query cannot be used"),
    "no-key": (HTTPStatus.UNAUTHORIZED, "a key is needed"),
    "bad-key": (HTTPStatus.UNAUTHORIZED, "this key opens nothing"),
    "not-allowed": (HTTPStatus.FORBIDDEN, "this key may not do that"),
    "not-found": (HTTPStatus.NOT_FOUND, "there is nothing here"),
    "revision-not-found": (HTTPStatus.NOT_FOUND, "this revision is not stored here"),
    "method-not-allowed": (HTTPStatus.METHOD_NOT_ALLOWED, "this method is not for this path"),
    "conflict": (HTTPStatus.CONFLICT, "somebody else was first, or this step is not due"),
    "changed": (HTTPStatus.PRECONDITION_FAILED, "this is not what If-Match asks for"),
    "too-slow": (HTTPStatus.REQUEST_TIMEOUT, "the body took too long"),
    "too-large": (HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "the body is too large"),
    "media-type": (
        HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
        "the body is of another kind than is taken here",
    ),
    "not-our-form": (HTTPStatus.UNPROCESSABLE_ENTITY, "the question is not of our form"),
    "not-publishable": (HTTPStatus.UNPROCESSABLE_ENTITY, "these tables cannot be published"),
    "expected-missing": (
        HTTPStatus.PRECONDITION_REQUIRED,
        "it was not said what is to be replaced",
    ),
    "too-many": (HTTPStatus.TOO_MANY_REQUESTS, "too many requests"),
    "bad-request": (HTTPStatus.BAD_REQUEST, "the request cannot be used"),
    "internal": (HTTPStatus.INTERNAL_SERVER_ERROR, "the service failed"),
    "report-failed": (HTTPStatus.SERVICE_UNAVAILABLE, "the report could not be made"),
    "store-failed": (HTTPStatus.SERVICE_UNAVAILABLE, "the store cannot be used"),
    "store-damaged": (HTTPStatus.SERVICE_UNAVAILABLE, "what is stored is damaged"),
}
"""Status and title of every kind of problem."""


class FieldError(Struct, frozen=True, gc=False):
    """One error of a body: the JSON pointer of the field, and what it must be."""

    pointer: Annotated[
        str, about("JSON pointer of the field; `/` and the name for a parameter of the query")
    ]
    detail: Annotated[str, about("what it must be")]


class ProblemDetails(Struct, frozen=True, kw_only=True):
    """The body of a problem; `error_count` is higher than the list where that was cut.

    Errors are counted to 1,000, and no further. `refusals` are what keeps tables from being a
    revision, each with its table, row and column.
    """

    type: Annotated[str, about("kind of problem, `urn:ringwright:problem:` and its name")]
    title: Annotated[str, about("the kind in words")]
    status: Annotated[int, about("status of this answer")]
    detail: Annotated[str, about("what is wrong here, and what to do")]
    instance: Annotated[
        str | UnsetType, about("`urn:ringwright:request:` and the id of the request in the log")
    ] = UNSET
    errors: Annotated[
        tuple[FieldError, ...] | UnsetType, about("every error of the body or the query, to 200")
    ] = UNSET
    error_count: Annotated[int | UnsetType, about("how many errors there are, counted to 1000")] = (
        UNSET
    )
    refusals: Annotated[
        tuple[Refusal, ...] | UnsetType,
        about("everything that keeps the tables from being a revision, to 1000"),
    ] = UNSET


class ProblemError(Exception):
    """A problem on its way to the caller; `kind` is one of `TITLES`."""

    def __init__(
        self,
        kind: str,
        detail: str,
        errors: tuple[FieldError, ...] = (),
        *,
        error_count: int = 0,
        refusals: tuple[Refusal, ...] = (),
        headers: tuple[tuple[str, str], ...] = (),
    ) -> None:
        super().__init__(detail)
        self.kind = kind
        self.detail = detail
        self.errors = errors
        self.error_count = error_count
        self.refusals = refusals
        self.headers = headers

    @property
    def status(self) -> int:
        """HTTP status."""
        return TITLES[self.kind][0].value

    def body(self, request_id: str) -> bytes:
        """Bytes of the problem for one request."""
        status, title = TITLES[self.kind]
        return msgspec.json.encode(
            ProblemDetails(
                type=f"urn:ringwright:problem:{self.kind}",
                title=title,
                status=status.value,
                detail=self.detail,
                instance=f"urn:ringwright:request:{request_id}" if request_id else UNSET,
                errors=self.errors or UNSET,
                error_count=self.error_count or UNSET,
                refusals=self.refusals or UNSET,
            )
        )


def refuse_if_any(errors: Iterable[FieldError], kind: str) -> None:
    """Raise the problem of these errors; nothing where there are none."""
    told: list[FieldError] = []
    count = letters = 0
    for error in errors:
        if count == MOST_COUNTED:
            raise _problem(kind, told, count, "more than ")
        count += 1
        if len(told) < MOST_TOLD and letters < MOST_TOLD_LETTERS:
            told.append(error)
            letters += len(error.pointer) + len(error.detail)
    if count:
        raise _problem(kind, told, count)


def _problem(kind: str, told: list[FieldError], count: int, over: str = "") -> ProblemError:
    detail = f"{over}{count} error{'s' if count != 1 else ''}"
    if len(told) < count:
        detail += f", the first {len(told)} are told"
    return ProblemError(kind, detail, tuple(told), error_count=count)
