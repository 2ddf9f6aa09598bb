"""Read revisions: the list, one of them, its tables, what differs, and one file of it."""

from typing import Annotated, Any, Final

from litestar import Response, get
from litestar.params import FromPath
from msgspec import UNSET, Meta, Struct, UnsetType

from catalog.differences import RowChange, differences
from catalog.loading import cell_text, csv_from_rows
from catalog.revision import Revision
from catalog.rows import TABLES, AnyRow
from catalog.wanted import about
from catalog.withdrawing import by_ref, withdrawn_in
from service.edge.decoding import StrictRequest
from service.edge.problems import ProblemError
from service.office.standing import withdrawn_rows
from service.office.states import RevisionState, State, states_of
from service.routes.asking import done, read, tables_of
from service.routes.words import After, Limit, Next, PageQuery, page
from service.store.records import Approval, Withdrawal
from service.store.sqlite.reading import Records

ROWS_A_PAGE: Final = 1000
"""Rows of a table that are told where it is not said how many."""


COLUMNS: Final = sorted({name for row in TABLES.values() for name in row.__struct_fields__})
"""Columns of any table, for the contract: a table says itself which of them it has."""
TableName = Annotated[str, Meta(pattern=f"^({'|'.join(TABLES)})$")]


class RevisionsQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which revisions: all of them, or those in a state."""

    state: Annotated[State | UnsetType, about("revisions in this state alone; left out: all")] = (
        UNSET
    )


class RevisionsAnswer(Struct, frozen=True, kw_only=True):
    """Revisions in the order in which they came in; `next` is the next page's `after`."""

    revisions: Annotated[
        tuple[RevisionState, ...], about("revisions in the order in which they came in")
    ]
    count: Annotated[int, about("how many there are")]
    next: Next = UNSET


class TableInfo(Struct, frozen=True, kw_only=True):
    """A table of a revision: how many rows, and their digest."""

    name: Annotated[str, about("name of the table")]
    rows: Annotated[int, about("how many rows it has")]
    digest: Annotated[str, about("sha256 of its canonical bytes")]


class RevisionAnswer(Struct, frozen=True, kw_only=True):
    """A revision with its tables, and all that was said of it.

    `tables` are those that were stored; of an older format others are read from them.
    `withdrawals` are those of the whole and of rows that it holds, in whosever name.
    """

    revision: Annotated[RevisionState, about("id and state")]
    format: Annotated[int, about("version of the form of its tables")]
    tables: Annotated[tuple[TableInfo, ...], about("tables that were stored")]
    approvals: Annotated[tuple[Approval, ...], about("approvals of it")]
    withdrawals: Annotated[
        tuple[Withdrawal, ...], about("withdrawals of it and of rows that it holds")
    ]


class TableQuery(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which rows: by the text of a column (`column` and `equals`), page by page.

    A page begins at 0 and has 1000 rows where it is not said; CSV comes in no pages.
    """

    column: Annotated[
        Annotated[str, Meta(extra_json_schema={"enum": COLUMNS})] | UnsetType,
        about("name of a column of the table; given together with `equals`"),
    ] = UNSET
    equals: Annotated[str | UnsetType, about("text of the cell; given together with `column`")] = (
        UNSET
    )
    after: Annotated[After | UnsetType, about("rows to pass over; left out: 0")] = UNSET
    limit: Annotated[Limit | UnsetType, about("how many rows; left out: 1000")] = UNSET


class TableAnswer(Struct, frozen=True, kw_only=True):
    """Rows of a table by the names of its columns; a blank is null."""

    revision: Annotated[str, about("id of the revision")]
    table: Annotated[str, about("name of the table")]
    count: Annotated[int, about("rows that were asked for, on all pages")]
    rows: Annotated[
        tuple[dict[str, Any], ...], about("rows by the names of their columns, a blank as null")
    ]
    next: Next = UNSET


class DiffQuery(PageQuery, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which differences: of all tables, or of one."""

    table: Annotated[
        TableName | UnsetType, about("differences of this table alone; left out: all")
    ] = UNSET


class DiffAnswer(Struct, frozen=True, kw_only=True):
    """Rows that differ between two revisions, cell by cell."""

    before: Annotated[str, about("id of the first revision")]
    after: Annotated[str, about("id of the second revision")]
    count: Annotated[int, about("rows that differ, on all pages")]
    rows: Annotated[tuple[RowChange, ...], about("rows that differ")]
    next: Next = UNSET


_TABLE = Annotated[
    str,
    Meta(pattern=f"^({'|'.join(TABLES)})([.]csv)?$"),
    about("name of a table; with `.csv` after it the whole table as CSV"),
]
_READ: Final[dict[str, Any]] = {
    "scope": "read",
    "problems": ("revision-not-found", "store-failed", "store-damaged"),
}


@get(
    "/v1/revisions",
    operation_id="revisions",
    tags=["revisions"],
    opt={"scope": "read", "query": RevisionsQuery, "problems": ("store-failed",)},
)
async def read_revisions(request: StrictRequest) -> RevisionsAnswer:
    """Revisions that are stored, with the state of each.

    In the order in which they came in, page by page; `state` leaves those in one state.
    """
    query = request.asked(RevisionsQuery)
    found = [
        each
        for each in await read(request, states_of)
        if query.state is UNSET or each.state == query.state
    ]
    shown, following = page(found, query.after, query.limit)
    return RevisionsAnswer(revisions=shown, count=len(found), next=following)


@get("/v1/revisions/{revision:str}", operation_id="revision", tags=["revisions"], opt=_READ)
async def read_revision(revision: FromPath[str], request: StrictRequest) -> RevisionAnswer:
    """Revision with its tables and its state.

    `current` is the one that answers.
    """
    tables = await tables_of(request, revision)
    return await read(request, _told, tables)


@get(
    "/v1/revisions/{revision:str}/tables/{table:str}",
    operation_id="table",
    tags=["revisions"],
    opt={
        **_READ,
        "query": TableQuery,
        "path": {"table": _TABLE},
        "answers": {
            "application/json": TableAnswer,
            "text/csv": "the whole table as an office edits it (`<table>.csv`)",
        },
    },
)
async def read_table(
    revision: FromPath[str], table: FromPath[str], request: StrictRequest
) -> Response[Any]:
    """Table of a revision, row by row.

    As JSON page by page; with `.csv` after its name, all of it as CSV.
    """
    name = table.removesuffix(".csv")
    if name not in TABLES:
        detail = f"`{name[:80]}` is no table: the tables are {', '.join(TABLES)}"
        raise ProblemError("not-found", detail)
    query = request.asked(TableQuery)
    if table != name and (query.after, query.limit) != (UNSET, UNSET):
        # A page of a table that is edited and proposed would lose all the others.
        detail = "a table as CSV comes whole: leave out `after` and `limit`, or ask for JSON"
        raise ProblemError("query", detail)
    tables = await tables_of(request, revision)
    rows = _filtered(name, tables.tables[name], query)
    if table != name:
        text = await done(csv_from_rows, name, list(rows))
        headers = {"content-disposition": f'attachment; filename="{name}.csv"'}
        return Response(text.encode(), media_type="text/csv", headers=headers)
    after = 0 if query.after is UNSET else query.after
    limit = ROWS_A_PAGE if query.limit is UNSET else query.limit
    shown, following = page(rows, after, limit)
    answer = TableAnswer(
        revision=tables.id,
        table=name,
        count=len(rows),
        rows=tuple({c: getattr(row, c) for c in row.__struct_fields__} for row in shown),
        next=following,
    )
    return Response(answer, media_type="application/json")


@get(
    "/v1/revisions/{revision:str}/diff/{other:str}",
    operation_id="diff",
    tags=["revisions"],
    opt={**_READ, "query": DiffQuery},
)
async def read_diff(
    revision: FromPath[str], other: FromPath[str], request: StrictRequest
) -> DiffAnswer:
    """Rows that differ between two revisions, from the first to the second.

    Cell by cell, page by page; `table` leaves those of one table.
    """
    query = request.asked(DiffQuery)
    before, after = await tables_of(request, revision), await tables_of(request, other)
    rows = [
        change
        for change in await done(differences, before, after)
        if query.table is UNSET or change.table == query.table
    ]
    shown, following = page(rows, query.after, query.limit)
    return DiffAnswer(before=before.id, after=after.id, count=len(rows), rows=shown, next=following)


def _told(records: Records, tables: Revision) -> RevisionAnswer:
    withdrawals, rows = records.withdrawals(), by_ref(tables)
    # A row that was withdrawn in an older format may have had another name.
    of_rows = (each for each in withdrawals if each.row is not None)
    now = zip(of_rows, withdrawn_rows(records), strict=True)
    hit = {each.n for each, row in now if withdrawn_in(rows, (row,))}
    state = next(each for each in states_of(records) if each.revision == tables.id)
    return RevisionAnswer(
        revision=state,
        format=tables.manifest.format,
        tables=tuple(
            TableInfo(name=name, rows=len(rows), digest=tables.manifest.tables[name])
            for name, rows in tables.tables.items()
            if name in tables.manifest.tables
        ),
        approvals=records.approvals(tables.id),
        withdrawals=tuple(
            each
            for each in withdrawals
            if each.n in hit or (each.row is None and each.revision == tables.id)
        ),
    )


def _filtered(name: str, rows: tuple[AnyRow, ...], query: TableQuery) -> tuple[AnyRow, ...]:
    if query.column is UNSET and query.equals is UNSET:
        return rows
    if query.column is UNSET or query.equals is UNSET:
        raise ProblemError("query", "`column` and `equals` are given together, or neither")
    columns = TABLES[name].__struct_fields__
    if query.column not in columns:
        known = ", ".join(columns)
        detail = f"`{query.column[:80]}` is no column of {name}: the columns are {known}"
        raise ProblemError("query", detail)
    return tuple(row for row in rows if cell_text(getattr(row, query.column)) == query.equals)
