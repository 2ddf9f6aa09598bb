"""The revision that answers: which it is, and how it is changed."""

from typing import Annotated, Final

from litestar import get, put
from msgspec import UNSET, Struct, UnsetType, json

from catalog.wanted import about
from service.current import moment
from service.edge.decoding import StrictRequest
from service.edge.problems import ProblemError
from service.edge.response import ETAG, etags_of
from service.office.activating import activate
from service.routes.asking import caller_of, done, read, store_of
from service.routes.words import After, Digest, Note
from service.store.records import Activation
from service.store.sqlite.reading import Records

_TAGS: Final = f"^([*]|{ETAG}( *, *{ETAG})*)$"


class ActivationQuestion(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What shall answer from now on, and why.

    The activation that the caller has seen last is named by `If-Match` with the ETag of
    `GET /v1/active`, or by `expected_activation` with its number.
    """

    revision: Annotated[
        Digest, about("id of the revision, which must be approved or have been active")
    ]
    note: Note
    expected_activation: Annotated[
        After | UnsetType,
        about("number of the activation that was seen last; left out: `If-Match` names it"),
    ] = UNSET


@get(
    "/v1/active",
    operation_id="active",
    tags=["revisions"],
    opt={"scope": "read", "problems": ("store-failed",)},
)
async def read_active(request: StrictRequest) -> Activation:
    """Activation that holds.

    Its ETag is what `If-Match` of a PUT wants.
    """
    return await read(request, _last)


@put(
    "/v1/active",
    operation_id="activate",
    tags=["revisions"],
    opt={
        "scope": "activate",
        "asks": ActivationQuestion,
        "headers": {
            "If-Match": ("ETag of `GET /v1/active`: the activation that was seen last", _TAGS)
        },
        "problems": (
            "revision-not-found",
            "conflict",
            "changed",
            "expected-missing",
            "store-failed",
        ),
    },
)
async def activate_revision(request: StrictRequest) -> Activation:
    """Have an approved revision answer from now on, or go back to one that was active before.

    Name the activation that was seen last, by `If-Match` or by its number: of two who activate at
    the same time, one is refused.
    """
    data = await request.question(ActivationQuestion)
    expected = await _expected(request, data)
    return await done(
        activate,
        store_of(request),
        data.revision,
        expected=expected,
        note=data.note,
        by=await caller_of(request),
        at=moment(),
    )


async def _expected(request: StrictRequest, data: ActivationQuestion) -> int:
    """Number of the activation that the caller has seen.

    Errors: `ProblemError` `changed` where `If-Match` names another, `expected-missing` where the
    caller says neither.
    """
    tags = request.headers.get("if-match")
    if tags is None and data.expected_activation is UNSET:
        detail = (
            "say which activation you have seen: `If-Match` with the ETag of GET /v1/active, or "
            "`expected_activation` with its number"
        )
        raise ProblemError("expected-missing", detail)
    if tags is None or tags.strip() == "*":
        if data.expected_activation is UNSET:
            raise ProblemError("expected-missing", "`If-Match: *` names no activation")
        return int(data.expected_activation)
    last = await read(request, _last)
    if not etags_of(json.encode(last)) & {tag.strip() for tag in tags.split(",")}:
        detail = f"activation {last.n} holds by now: read GET /v1/active and decide anew"
        raise ProblemError("changed", detail)
    if data.expected_activation not in {UNSET, last.n}:
        detail = f"`If-Match` names activation {last.n}, `expected_activation` another: keep one"
        raise ProblemError("conflict", detail)
    return last.n


def _last(records: Records) -> Activation:
    last = records.last_activation()
    if last is None:
        raise ProblemError("store-failed", "no revision is active: seed the store first")
    return last
