"""Propose a revision: tables as JSON, a CSV each, or one workbook."""

import re
from typing import Annotated, Any, Final

from litestar import Response, post
from msgspec import UNSET, Meta, Struct, UnsetType, json

from catalog.facts import escaped
from catalog.loading import BadCell, Conversion, Limits, rows_from_json, tables_from_files
from catalog.rows import TABLES, AnyRow
from catalog.wanted import about
from service.current import moment
from service.edge.decoding import StrictRequest, decoded, refuse_other_media
from service.edge.form import shown
from service.edge.parts import MOST_PARTS
from service.edge.problems import FieldError, ProblemError, refuse_if_any
from service.office.proposing import Kept, Looked, Sent, keep, look
from service.office.refused import refuse_unseen
from service.office.replaying import replayed_apart
from service.routes.asking import caller_of, done, named, store_of, turn
from service.routes.reports import ReportSummary, summary_of
from service.routes.words import NOTE_LETTERS, Note, RevisionName
from service.settings import Settings
from service.store.records import Moment

_NAME: Final = "^(current|sha256:[0-9a-f]{64})$"
_TEXTS: Final = ("note", "base")
MOST_FILES: Final = MOST_PARTS - len(_TEXTS)
"""Parts of a form, less its texts."""
_FILES: Final = (
    ", or CSV files or a workbook as files of a `multipart/form-data` form with a `note`"
)
File = Annotated[str, Meta(extra_json_schema={"format": "binary"})]
Rows = list[Annotated[Any, Meta(extra_json_schema={"type": "object"})]]
_TABLE_NAMES: Final[dict[str, Any]] = {"propertyNames": {"type": "string", "enum": list(TABLES)}}
"""For the contract alone: the handler tells every table and cell that is wrong, by its place."""


class _Proposed(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    note: Annotated[
        Note, about("why, for those who read the trail later; no letters that cannot be seen")
    ]
    base: Annotated[
        RevisionName | UnsetType,
        about(
            "id of a revision, or `current`, that gives the other tables; left out: all are sent"
        ),
    ] = UNSET


class ProposalQuestion(_Proposed, frozen=True, kw_only=True):
    """Tables of a revision: all of them, or those that changed on top of `base`."""

    tables: Annotated[
        dict[str, Rows],
        Meta(extra_json_schema=_TABLE_NAMES),
        about("rows by the name of their table, each an object by its columns"),
    ]


class ProposalForm(_Proposed, frozen=True, kw_only=True):
    """The same as a form with files, which this names for the contract alone."""

    tables: Annotated[
        tuple[File, ...],
        Meta(min_length=1, max_length=MOST_FILES),
        about(
            "a CSV file for each table, named `<table>.csv`, or one XLSX workbook with a sheet each"
        ),
    ]


class ProposeQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Whether the tables are only looked at, and nothing is stored."""

    validate_only: Annotated[
        bool, about("whether the tables are only looked at, and nothing is stored")
    ] = False


class ProposalAnswer(Struct, frozen=True, kw_only=True):
    """A revision that may be approved once its report was read; `stored` says if it is kept."""

    stored: Annotated[bool, about("whether it is kept")]
    revision: Annotated[str, about("id of the revision, the hash of its tables")]
    report: Annotated[ReportSummary, about("what an approver reads")]
    base: Annotated[str | UnsetType, about("id of the revision that gave the other tables")] = UNSET
    proposed_by: Annotated[
        str | UnsetType, about("name of whoever proposed these tables first")
    ] = UNSET
    proposed_at: Annotated[
        Moment | UnsetType, about("moment in UTC, such as `2026-03-02T08:00:00Z`")
    ] = UNSET


@post(
    "/v1/revisions",
    operation_id="propose",
    tags=["revisions"],
    status_code=201,
    opt={
        "scope": "propose",
        "query": ProposeQuery,
        "upload": True,
        "asks": ProposalQuestion,
        "takes": {"multipart/form-data": ProposalForm},
        "answers": {"application/json": ProposalAnswer},
        "also": {200: "the tables were only looked at, or are stored already"},
        "problems": (
            "conflict",
            "not-publishable",
            "revision-not-found",
            "bad-request",
            "report-failed",
            "store-failed",
        ),
    },
)
async def propose(request: StrictRequest) -> Response[bytes]:
    """Propose a revision: a whole set of tables, or those that changed on top of a base.

    As JSON, or as multipart/form-data with `note`, `base` and files as `tables`: a CSV per table
    (`targets.csv`), or one XLSX workbook with a sheet per table. Every bad cell is told at once.
    A column may be sent in another unit of its kind, which its name then ends with (`force_lbf` for
    `force_kn`): it is converted exactly, and `converted` of the report tells each cell as it was
    sent; so it does of a CSV with semicolons and decimal commas, with exactly its table's header.
    With `validate_only=true` the verdict and the report are the same, and nothing is stored.
    """
    query = request.asked(ProposeQuery)
    note, sent = await _sent(request)
    await done(refuse_unseen, {"/note": note})
    async with turn(request):
        looked = await done(look, store_of(request), sent, reporter=replayed_apart)
    if query.validate_only:
        return _answer(looked, None)
    kept = await done(
        keep, store_of(request), looked, by=await caller_of(request), note=note, at=moment()
    )
    return _answer(looked, kept)


def _answer(looked: Looked, kept: Kept | None) -> Response[bytes]:
    answer = ProposalAnswer(
        stored=kept is not None,
        revision=looked.revision.id,
        report=summary_of(looked.report, looked.digest),
        base=UNSET if looked.base is None else looked.base,
        proposed_by=UNSET if kept is None else kept.proposal.by,
        proposed_at=UNSET if kept is None else kept.proposal.at,
    )
    status = 201 if kept is not None and kept.new else 200
    return Response(json.encode(answer), status_code=status, media_type="application/json")


async def _sent(request: StrictRequest) -> tuple[str, Sent]:
    settings: Settings = request.app.state.settings
    limits = Limits(rows_a_table=settings.max_rows_a_table, file_bytes=settings.max_upload_bytes)
    kind = request.headers.get("content-type", "")
    if kind.partition(";")[0].strip().lower() == "multipart/form-data":
        return await _from_form(request, limits)
    refuse_other_media(kind, request.headers.get("content-encoding", ""), _FILES)
    question: ProposalQuestion = await done(decoded, await request.body(), ProposalQuestion)
    _refuse_unknown(question.tables)
    return await done(_from_json, request, question, limits)


def _from_json(
    request: StrictRequest, question: ProposalQuestion, limits: Limits
) -> tuple[str, Sent]:
    tables: dict[str, list[AnyRow]] = {}
    bad: list[BadCell] = []
    converted: list[Conversion] = []
    for name, items in question.tables.items():
        tables[name], found = rows_from_json(name, items, limits, converted)
        bad += found
    base = None if question.base is UNSET else named(request, question.base)
    return question.note, Sent(tables=tables, bad_cells=bad, converted=converted, base=base)


def _refuse_unknown(tables: dict[str, list[Any]]) -> None:
    known = ", ".join(TABLES)
    errors = (
        FieldError(
            f"/tables/{escaped(name[:80])}", f"`{shown(name)}` is no table: the tables are {known}"
        )
        for name in tables
        if name not in TABLES
    )
    refuse_if_any(errors, "not-our-form")


async def _from_form(request: StrictRequest, limits: Limits) -> tuple[str, Sent]:
    fields, files = await request.parts()
    errors = [
        FieldError(
            f"/{escaped(name[:80])}",
            "no such field: the fields are `note`, `base` and `tables`, the files",
        )
        for name in fields
        if name not in {*_TEXTS, "tables"}
    ]
    note, base = fields.get("note", ""), fields.get("base", "")
    if not 1 <= len(note.strip()) <= NOTE_LETTERS:
        errors.append(FieldError("/note", f"say in 1 to {NOTE_LETTERS} letters what changes"))
    if base and not re.fullmatch(_NAME, base):
        detail = "is no revision: name `current`, or an id of GET /v1/revisions"
        errors.append(FieldError("/base", f"`{shown(base)}` {detail}"))
    if not files or "tables" in fields:
        detail = "no file is sent" if not files else "a text is sent among the files"
        advice = "send files with their names, such as `targets.csv`"
        errors.append(FieldError("/tables", f"{detail}: {advice}"))
    if errors:
        raise ProblemError("not-our-form", f"{len(errors)} errors", tuple(errors))
    converted: list[Conversion] = []
    exported: list[str] = []
    tables, bad = await done(tables_from_files, files, limits, converted, exported)
    asked = named(request, base) if base else None
    return note, Sent(
        tables=tables, bad_cells=bad, converted=converted, exported=exported, base=asked
    )
