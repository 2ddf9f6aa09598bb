"""Reading what is kept: revisions, tables, differences, the file for use offline."""

import csv
import io
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from catalog.differences import differences
from catalog.loading import rows_from_csv, rows_from_json
from catalog.revision import Revision, revision_of, table_bytes, table_rows
from catalog.rows import TABLES
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import Shop, opened, pages, refused
from tests.service.publishing.tables import PLAIN, THICK, doubtful, revised, small

NEW, OLD, DOUBTFUL = revised().id, small().id, doubtful().id
NOWHERE = "sha256:" + 64 * "0"


@pytest.fixture(scope="module")
def kept(prepared: Prepared, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """A shop that nobody changes here: one superseded, one active, one withdrawn, one proposed."""
    folder = Path(shutil.copytree(prepared.folder, tmp_path_factory.mktemp("kept") / "store"))
    with opened(folder, prepared.keys) as shop:
        shop.publish(revised())
        shop.publish(revised(5))
        body = {"whole": True, "reason": "wrong unit"}
        assert shop.post(f"/v1/revisions/{DOUBTFUL}/withdrawals", body, "boss").status_code == 201
        body = {"rows": [PLAIN], "reason": "ring crushed"}
        assert shop.post(f"/v1/revisions/{OLD}/withdrawals", body, "boss").status_code == 201
        files = {"targets.csv": shop.get("/v1/revisions/current/tables/targets.csv").content}
        files["targets.csv"] = files["targets.csv"].replace(b",29.05,", b",29.3,")
        assert shop.propose(files).status_code == 201
        yield shop


def test_every_revision_with_its_state_page_by_page(kept: Shop) -> None:
    told = kept.get("/v1/revisions").json()
    assert "next" not in told
    states = [(r["revision"], r["state"], r["withdrawn_rows"]) for r in told["revisions"]]
    assert states[:-1] == [
        (OLD, "superseded", 1),
        (NEW, "superseded", 0),
        (DOUBTFUL, "withdrawn", 0),
        (revised(5).id, "active", 0),
    ]
    assert states[-1][1:] == ("proposed", 0)
    assert told["count"] == 5
    for limit in (1, 2, 5):
        assert pages(kept, "/v1/revisions", "revisions", limit) == told["revisions"]
    for state in ("superseded", "withdrawn", "active", "proposed", "approved"):
        found = pages(kept, "/v1/revisions", "revisions", 1, state=state)
        assert found == [r for r in told["revisions"] if r["state"] == state]


def test_a_revision_tells_its_tables_and_all_that_was_said_of_it(kept: Shop) -> None:
    told = kept.get(f"/v1/revisions/{NEW}").json()
    assert told["revision"] == next(
        r for r in kept.get("/v1/revisions").json()["revisions"] if r["revision"] == NEW
    )
    assert {t["name"]: (t["rows"], t["digest"]) for t in told["tables"]} == {
        name: (len(rows), revised().manifest.tables[name])
        for name, rows in revised().tables.items()
    }
    (approval,) = told["approvals"]
    assert (approval["by"], approval["against"]) == ("lead", OLD)
    # A row was withdrawn in the name of the old one, and stands in this one too.
    (withdrawal,) = told["withdrawals"]
    assert (withdrawal["row"], withdrawal["by"]) == (PLAIN, "boss")
    assert withdrawal["revision"] == OLD
    assert kept.get(f"/v1/revisions/{OLD}").json()["withdrawals"] == [withdrawal]
    whole, row = kept.get(f"/v1/revisions/{DOUBTFUL}").json()["withdrawals"]
    assert (whole["revision"], whole.get("row")) == (DOUBTFUL, None)
    assert row == withdrawal


@pytest.mark.parametrize("table", TABLES)
def test_a_table_as_json_and_as_csv_is_what_is_stored(table: str, kept: Shop) -> None:
    wanted = revised().tables[table]
    path = f"/v1/revisions/{NEW}/tables/{table}"
    told = pages(kept, path, "rows", 7)
    rows, bad = rows_from_json(table, told)
    assert (bad, len(rows)) == ([], len(wanted))
    text = kept.get(f"{path}.csv").content.decode()
    from_csv, bad = rows_from_csv(table, text)
    assert (bad, len(from_csv)) == ([], len(wanted))
    for read in (rows, from_csv):
        other = revision_of({**revised().tables, table: read})
        assert other.id == NEW
    assert kept.get(path).json()["count"] == len(wanted)


def test_rows_by_the_text_of_a_column(kept: Shop) -> None:
    path = "/v1/revisions/current/tables/targets"
    every = kept.get(path).json()["rows"]
    for column, text in (
        ("od_mm", "16"),
        ("family", "nickel-copper"),
        ("wall_min_mm", "2.4"),
        ("force_kn", "29.05"),
        ("family", "copper"),
    ):
        found = pages(kept, path, "rows", 4, column=column, equals=text)
        wanted = [row for row in every if _text(row[column]) == text]
        assert found == wanted
        assert (len(wanted) == 0) == (text == "copper")
        as_csv = kept.get(f"{path}.csv", params={"column": column, "equals": text}).text
        assert len(list(csv.reader(io.StringIO(as_csv)))) == len(wanted) + 1


def _text(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


WRONG = (
    ("/v1/revisions?limit=0", "/limit"),
    ("/v1/revisions?limit=1001", "/limit"),
    ("/v1/revisions?limit=05", "/limit"),
    ("/v1/revisions?after=-1", "/after"),
    ("/v1/revisions?state=old", "/state"),
    ("/v1/revisions?page=2", "/page"),
    ("/v1/revisions?limit=1&limit=2", "/limit"),
    ("/v1/activations?after=x", "/after"),
    ("/v1/audit?limit=null", "/limit"),
    (f"/v1/revisions/{NEW}/report?section=everything", "/section"),
    (f"/v1/revisions/{NEW}/report?kind=worse", "/kind"),
)


@pytest.mark.parametrize(("path", "pointer"), WRONG)
def test_a_query_that_cannot_be_used(path: str, pointer: str, kept: Shop) -> None:
    problem = refused(kept.get(path), 400, "query")
    assert [e["pointer"] for e in problem["errors"]] == [pointer]


@pytest.mark.parametrize(
    "query",
    [
        "column=od_mm",
        "equals=16",
        "column=od&equals=16",
        "column=ref&equals=x",
        "column=__class__&equals=x",
    ],
)
def test_a_filter_that_cannot_be_used(query: str, kept: Shop) -> None:
    for form in ("", ".csv"):
        answer = kept.get(f"/v1/revisions/current/tables/targets{form}?{query}")
        problem = refused(answer, 400, "query")
        assert "column" in problem["detail"]


@pytest.mark.parametrize(
    "query", ["limit=5", "after=5", "limit=1000", "after=0"], ids=lambda query: query
)
def test_a_csv_is_whole_and_takes_no_page(query: str, kept: Shop) -> None:
    # Half a table that is edited and proposed would lose the other half.
    refused(kept.get(f"/v1/revisions/current/tables/targets.csv?{query}"), 400, "query")


@pytest.mark.parametrize("path", ["/v1/revisions/{id}", "/v1/revisions/{id}/diff/{id}"])
def test_a_read_that_takes_no_such_query(path: str, kept: Shop) -> None:
    refused(kept.get(path.format(id=NEW) + "?limitt=1"), 400, "query")


def test_what_is_not_there(kept: Shop) -> None:
    for path in (
        "",
        "/report",
        "/report.json",
        "/tables/targets",
        "/tables/targets.csv",
        "/catalog.sqlite",
        "/tables.xlsx",
        f"/diff/{NEW}",
    ):
        refused(kept.get(f"/v1/revisions/{NOWHERE}{path}"), 404, "revision-not-found")
    refused(kept.get(f"/v1/revisions/{NEW}/diff/{NOWHERE}"), 404, "revision-not-found")
    for table in ("target", "targets.csv.csv", "targets.xlsx", "manifest", ".csv"):
        refused(kept.get(f"/v1/revisions/{NEW}/tables/{table}"), 404, "not-found")
    refused(kept.get(f"/v1/revisions/{NEW}/catalog"), 404, "not-found")


def test_what_differs_between_any_two_both_ways(kept: Shop) -> None:
    for one, other in ((small(), revised()), (doubtful(), revised()), (revised(), revised())):
        for before, after in ((one, other), (other, one)):
            path = f"/v1/revisions/{before.id}/diff/{after.id}"
            told = kept.get(path).json()
            rows = pages(kept, path, "rows", 1)
            wanted = differences(before, after)
            assert (told["before"], told["after"], told["count"]) == (
                before.id,
                after.id,
                len(wanted),
            )
            assert told["rows"] == rows
            assert [r["row"] for r in rows] == [w.row for w in wanted]
    told = kept.get(f"/v1/revisions/{OLD}/diff/{NEW}").json()
    (change,) = told["rows"]
    assert change["row"] == THICK
    cells = {c["column"]: (c["before"], c["after"]) for c in change["cells"]}
    assert cells["force_kn"] == (28.5, 29.01) or cells["force_kn"] == ("28.5", "29.01")
    back = kept.get(f"/v1/revisions/{NEW}/diff/{OLD}").json()["rows"][0]["cells"]
    assert {c["column"]: (c["after"], c["before"]) for c in back} == cells


def test_differences_of_one_table(kept: Shop) -> None:
    path = f"/v1/revisions/{OLD}/diff/{NEW}"
    assert kept.get(f"{path}?table=targets").json()["count"] == 1
    assert kept.get(f"{path}?table=sizes").json()["rows"] == []
    refused(kept.get(f"{path}?table=target"), 400, "query")


def test_the_file_holds_the_whole_revision_and_is_the_same_twice(
    kept: Shop, tmp_path: Path
) -> None:
    path = f"/v1/revisions/{NEW}/catalog.sqlite"
    answer = kept.get(path)
    assert answer.headers["content-type"] == "application/vnd.sqlite3"
    assert kept.get(path).content == answer.content
    file = tmp_path / "catalog.sqlite"
    file.write_bytes(answer.content)
    with closing(sqlite3.connect(file)) as database:
        database.row_factory = sqlite3.Row
        assert database.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert database.execute("PRAGMA foreign_key_check").fetchall() == []
        for name, rows in revised().tables.items():
            told = database.execute(f"SELECT * FROM {name}").fetchall()  # noqa: S608
            assert len(told) == len(rows), name
        joined = database.execute(
            "SELECT t.force_kn, s.id, s.grade FROM targets t JOIN sources s ON s.id = t.source"
            " WHERE t.series = 'S' AND t.od_mm = 16 AND t.wall_min_mm = 2.4"
            " AND t.family = 'carbon-steel' AND t.grade = '' AND t.ring_style = 'metal'"
        ).fetchall()
        assert [tuple(row) for row in joined] == [(29.01, "demo", "standard")]
    for table in ("targets", "sizes", "presses"):
        assert _same(file, table, revised())


def _same(file: Path, table: str, revision: Revision) -> bool:
    """Whether the columns of a table in a file hold what the revision has."""
    columns = TABLES[table].__struct_fields__
    with closing(sqlite3.connect(file)) as database:
        names = ", ".join(f'"{column}"' for column in columns)
        asked = f"SELECT {names} FROM {table}"  # noqa: S608
        plain = {c for c in columns if not isinstance(getattr(revision.tables[table][0], c), tuple)}
        told = {
            tuple(v for c, v in zip(columns, row, strict=True) if c in plain)
            for row in database.execute(asked)
        }
    keys = TABLES[table].key_columns
    return told == {
        tuple(
            "" if c in keys and getattr(row, c) is None else getattr(row, c)
            for c in columns
            if c in plain
        )
        for row in revision.tables[table]
    }


def test_the_workbook_is_taken_back_as_the_tables_that_it_holds(kept: Shop) -> None:
    book = kept.get(f"/v1/revisions/{NEW}/tables.xlsx")
    assert book.status_code == 200
    answer = kept.propose({"tables.xlsx": book.content}, base=NEW, query="?validate_only=true")
    assert (answer.status_code, answer.json()["revision"]) == (200, NEW)


READS = (
    "/v1/revisions",
    "/v1/revisions?state=active",
    "/v1/revisions/current",
    f"/v1/revisions/{NEW}",
    f"/v1/revisions/{NEW}/tables/targets",
    f"/v1/revisions/{NEW}/tables/targets.csv",
    f"/v1/revisions/{OLD}/diff/{NEW}",
    f"/v1/revisions/{NEW}/catalog.sqlite",
    f"/v1/revisions/{NEW}/tables.xlsx",
    f"/v1/revisions/{NEW}/report",
    f"/v1/revisions/{NEW}/report.json",
    "/v1/active",
    "/v1/activations",
    "/v1/audit",
)


@pytest.mark.parametrize("path", READS)
def test_a_read_is_not_sent_again_to_whoever_has_it(path: str, kept: Shop) -> None:
    first = kept.get(path)
    assert first.status_code == 200
    etag = first.headers["etag"]
    again = kept.get(path, headers={"If-None-Match": f'"x", W/{etag}'})
    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", etag)
    other = kept.get(path, headers={"If-None-Match": '"x"'})
    assert (other.status_code, other.content) == (200, first.content)
    head = kept.ask("erp", "HEAD", path)
    assert (head.status_code, head.content) == (200, b"")
    for name in ("etag", "content-type", "content-length", "catalog-revision"):
        assert head.headers[name] == first.headers[name], name
    assert first.headers["cache-control"] == "no-cache"


def test_current_is_the_revision_that_answers(kept: Shop) -> None:
    active = revised(5).id
    told = kept.get("/v1/revisions/current").json()
    assert told["revision"]["revision"] == active
    assert told == kept.get(f"/v1/revisions/{active}").json()
    assert kept.get("/v1/revisions/current/tables/targets").json()["revision"] == active
    named = kept.get(f"/v1/revisions/current/diff/{NEW}").json()
    assert (named["before"], named["after"]) == (active, NEW)
    assert kept.get("/v1/revisions/current/diff/current").json()["rows"] == []


def test_the_trail_is_read_only(kept: Shop) -> None:
    for method in ("POST", "PUT", "PATCH", "DELETE"):
        for path in ("/v1/audit", "/v1/activations", f"/v1/revisions/{NEW}"):
            refused(kept.ask("boss", method, path), 405, "method-not-allowed")


def test_the_tables_that_are_told_are_the_stored_bytes(kept: Shop) -> None:
    # What `table_rows` reads of the stored blob is what the service tells: no cell is lost.
    stored = table_rows("targets", table_bytes(revised().tables["targets"]))
    told = kept.get(f"/v1/revisions/{NEW}/tables/targets").json()["rows"]
    assert told == [{c: getattr(row, c) for c in row.__struct_fields__} for row in stored]
