"""A revision as one file, to use offline or to edit: SQLite, or a workbook."""

from typing import Any, Final

from litestar import Response, get
from litestar.params import FromPath

from catalog.loading import workbook_from_rows
from service.edge.decoding import StrictRequest
from service.routes.asking import done, tables_of
from service.store.export import sqlite_bytes

_XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_READ: Final[dict[str, Any]] = {
    "scope": "read",
    "problems": ("revision-not-found", "store-failed", "store-damaged"),
}


@get(
    "/v1/revisions/{revision:str}/catalog.sqlite",
    operation_id="catalog_file",
    tags=["revisions"],
    opt={
        **_READ,
        "answers": {"application/vnd.sqlite3": "all tables, typed and keyed, in one SQLite file"},
    },
)
async def read_file(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Revision as one SQLite file for use offline.

    Typed and keyed, with sources and units.
    """
    tables = await tables_of(request, revision)
    headers = {"content-disposition": 'attachment; filename="catalog.sqlite"'}
    return Response(
        await done(sqlite_bytes, tables), media_type="application/vnd.sqlite3", headers=headers
    )


@get(
    "/v1/revisions/{revision:str}/tables.xlsx",
    operation_id="workbook",
    tags=["revisions"],
    opt={**_READ, "answers": {_XLSX: "all tables, a sheet each, as an office edits them"}},
)
async def read_workbook(revision: FromPath[str], request: StrictRequest) -> Response[bytes]:
    """Revision as one workbook that an office edits and sends back.

    A sheet for each table, as `POST /v1/revisions` takes it.
    """
    tables = await tables_of(request, revision)
    headers = {"content-disposition": 'attachment; filename="tables.xlsx"'}
    content = await done(workbook_from_rows, tables.tables, tables.id)
    return Response(content, media_type=_XLSX, headers=headers)
