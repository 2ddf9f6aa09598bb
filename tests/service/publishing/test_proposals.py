"""Proposing: every form gives the same revision, and everything that is wrong is told at once."""

import hashlib
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest
from msgspec import structs
from openpyxl import load_workbook

from catalog.differences import differences
from catalog.loading import workbook_from_rows
from catalog.publishing import Report, report_on
from service.routes.reports import SHOWN, summary_of
from service.settings import Settings
from tests.service.pages.markup import parsed
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import Shop, opened, refused
from tests.service.publishing.tables import (
    PLAIN,
    THICK,
    as_csv,
    as_json,
    doubtful,
    revised,
    small,
    with_row,
)

NEW = revised(2)
"""A revision that no test has proposed yet."""
TARGETS = as_csv({"targets": NEW.tables["targets"]})
XLSX = "tables.xlsx"


def by_json(shop: Shop, tables: dict[str, Any], base: str | None = None, **more: Any) -> Any:
    body = {"note": "16S measured anew", "tables": tables, **more}
    if base is not None:
        body["base"] = base
    return shop.post("/v1/revisions", body, "office")


def whole_json(shop: Shop) -> Any:
    return by_json(shop, {name: as_json(rows) for name, rows in NEW.tables.items()})


def part_json(shop: Shop) -> Any:
    return by_json(shop, {"targets": as_json(NEW.tables["targets"])}, "current")


def part_json_by_id(shop: Shop) -> Any:
    return by_json(shop, {"targets": as_json(NEW.tables["targets"])}, small().id)


def whole_csv(shop: Shop) -> Any:
    return shop.propose(as_csv(NEW.tables), base=None)


def part_csv(shop: Shop) -> Any:
    return shop.propose(TARGETS)


def whole_workbook(shop: Shop) -> Any:
    return shop.propose({XLSX: workbook_from_rows(NEW.tables)}, base=None)


def part_workbook(shop: Shop) -> Any:
    return shop.propose({XLSX: workbook_from_rows({"targets": NEW.tables["targets"]})})


def on_another_base(shop: Shop) -> Any:
    return shop.propose(TARGETS, base=doubtful().id)


FORMS = (
    whole_json,
    part_json,
    part_json_by_id,
    whole_csv,
    part_csv,
    whole_workbook,
    part_workbook,
    on_another_base,
)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.__name__)
def test_every_form_of_the_same_tables_is_the_same_revision(
    form: Callable[[Shop], httpx.Response], shop: Shop
) -> None:
    answer = form(shop)
    assert answer.status_code == 201, answer.text
    told = answer.json()
    assert (told["revision"], told["stored"]) == (NEW.id, True)
    base = {"whole": None, "on": doubtful().id}.get(form.__name__.partition("_")[0], small().id)
    assert told.get("base") == base
    with shop.store.reading() as records:
        kept = records.revision(NEW.id)
    assert kept is not None
    assert differences(kept, NEW) == ()


def test_a_part_without_a_base_names_every_table_that_is_missing(shop: Shop) -> None:
    for answer in (
        shop.propose(TARGETS, base=None),
        by_json(shop, {"targets": as_json(NEW.tables["targets"])}),
    ):
        problem = refused(answer, 422, "not-publishable")
        told = {(r["table"], r["rule"]) for r in problem["refusals"]}
        assert told == {(name, "table-missing") for name in NEW.tables if name != "targets"}


def test_a_base_that_is_not_stored(shop: Shop) -> None:
    nowhere = "sha256:" + 64 * "0"
    refused(shop.propose(TARGETS, base=nowhere), 404, "revision-not-found")
    rows = {"targets": as_json(NEW.tables["targets"])}
    refused(by_json(shop, rows, nowhere), 404, "revision-not-found")


@pytest.mark.parametrize("base", ["the last one", "sha256:12", "SHA256:" + 64 * "0", 5000 * "x"])
def test_a_base_that_is_no_id(base: str, shop: Shop) -> None:
    for answer in (shop.propose(TARGETS, base=base), by_json(shop, {}, base)):
        (error,) = refused(answer, 422, "not-our-form")["errors"]
        assert error["pointer"] == "/base"
        assert len(answer.content) < 1000


def test_the_same_tables_again_keep_their_first_proposer(shop: Shop) -> None:
    first = shop.propose(TARGETS)
    steps = shop.audit()
    again = shop.ask(
        "other-office",
        "POST",
        "/v1/revisions",
        json={
            "note": "the same",
            "base": "current",
            "tables": {"targets": as_json(NEW.tables["targets"])},
        },
    )
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    assert again.json()["proposed_by"] == "office"
    assert shop.audit() == steps


def test_the_tables_that_are_active_are_no_proposal(shop: Shop) -> None:
    for query in ("", "?validate_only=true"):
        answer = shop.propose(as_csv(small().tables), base=None, query=query)
        refused(answer, 409, "conflict")


@pytest.mark.parametrize(
    "revision", [NEW, doubtful()], ids=["in order", "with strong doubts, stored already"]
)
def test_looking_says_what_proposing_says_and_stores_nothing(revision: Any, shop: Shop) -> None:
    files = as_csv({"targets": revision.tables["targets"]})
    steps, known = shop.audit(), shop.get("/v1/revisions").json()
    looked = shop.propose(files, query="?validate_only=true")
    assert looked.status_code == 200
    assert (shop.audit(), shop.get("/v1/revisions").json()) == (steps, known)
    with shop.store.reading() as records:
        assert set(records.revisions()) == {small().id, revised().id, doubtful().id}
    kept = shop.propose(files).json()
    told = looked.json()
    assert told.pop("stored") is False
    same = ("revision", "report", "base")
    assert told == {name: kept[name] for name in same}


def test_looking_refuses_what_proposing_refuses(shop: Shop) -> None:
    broken = {"targets.csv": TARGETS["targets.csv"].replace(b",29.02,", b',"29,02",')}
    answers = [shop.propose(broken, query=q) for q in ("?validate_only=true", "")]
    one, other = (refused(answer, 422, "not-publishable") for answer in answers)
    assert one["refusals"] == other["refusals"] != []
    assert shop.audit()[-1].subject != NEW.id


def test_every_bad_cell_is_told_at_once_with_its_place(shop: Shop) -> None:
    rows = as_json(NEW.tables["targets"])
    rows[0]["force_kn"] = "27.5"
    rows[2]["tolerance_percent"] = -8
    rows[3]["family"] = "steel"
    sizes = as_json(NEW.tables["sizes"])
    sizes[1]["source"] = None
    steps = shop.audit()
    problem = refused(
        by_json(shop, {"targets": rows, "sizes": sizes}, "current"), 422, "not-publishable"
    )
    told = {(r["table"], r["row"], r["column"], r["value"]) for r in problem["refusals"]}
    assert told == {
        ("targets", "line 1", "force_kn", "27.5"),
        ("targets", "line 3", "tolerance_percent", "-8"),
        ("targets", "line 4", "family", "steel"),
        ("sizes", "line 2", "source", ""),
    }
    for refusal in problem["refusals"]:
        assert refusal.keys() == {
            "table",
            "row",
            "column",
            "value",
            "rule",
            "message",
            "remedy",
        }
        assert all(refusal[name] for name in ("rule", "message", "remedy"))
    assert shop.audit() == steps


def test_what_only_the_whole_of_the_tables_shows_names_the_row(shop: Shop) -> None:
    # A ceiling below the force: each cell is right for itself.
    broken = with_row(PLAIN, ceiling_kn=20.0)
    answer = shop.propose(as_csv({"targets": broken.tables["targets"]}))
    refusals = refused(answer, 422, "not-publishable")["refusals"]
    assert (PLAIN, "ceiling_kn", "20") in {(r["row"], r["column"], r["value"]) for r in refusals}


def test_tables_that_get_an_own_case_wrong_are_refused(shop: Shop) -> None:
    # cases/16s-press-b-gauge-b says 27.5 kN, by hand.
    wrong = with_row(PLAIN, force_kn=27.6)
    answer = shop.propose(as_csv({"targets": wrong.tables["targets"]}))
    refusals = refused(answer, 422, "not-publishable")["refusals"]
    assert ("cases/16s-press-b-gauge-b", "own-case") in {(r["row"], r["rule"]) for r in refusals}


def test_unknown_tables(shop: Shop) -> None:
    named = {"target": [], "a/b~c": [], "targets": as_json(NEW.tables["targets"])}
    problem = refused(by_json(shop, named, "current"), 422, "not-our-form")
    assert [e["pointer"] for e in problem["errors"]] == ["/tables/target", "/tables/a~1b~0c"]
    answer = shop.propose({"target.csv": TARGETS["targets.csv"], "notes.docx": b"PK"})
    refusals = refused(answer, 422, "not-publishable")["refusals"]
    assert {r["rule"] for r in refusals} <= {"unknown-table", "file-name", "file-kind"}
    assert len(refusals) == 2


def test_a_formula_in_a_workbook(shop: Shop) -> None:
    book = load_workbook(io.BytesIO(workbook_from_rows({"targets": NEW.tables["targets"]})))
    sheet = book["targets"]
    header = next(sheet.iter_rows(max_row=1, values_only=True))
    sheet.cell(row=5, column=header.index("force_kn") + 1, value="=25+2.5")
    out = io.BytesIO()
    book.save(out)
    (refusal,) = refused(shop.propose({XLSX: out.getvalue()}), 422, "not-publishable")["refusals"]
    assert (refusal["row"], refusal["column"], refusal["rule"]) == ("line 5", "force_kn", "formula")


@pytest.mark.parametrize("note", ["", "  ", 2001 * "n"], ids=["none", "blank", "too long"])
def test_a_form_says_what_changes(note: str, shop: Shop) -> None:
    (error,) = refused(shop.propose(TARGETS, note=note), 422, "not-our-form")["errors"]
    assert error["pointer"] == "/note"


def test_a_note_is_missing_in_json(shop: Shop) -> None:
    bodies: list[dict[str, Any]] = [
        {"tables": {}},
        {"tables": {}, "note": ""},
        {"tables": {}, "note": "  "},
        {"tables": {}, "note": None},
    ]
    for body in bodies:
        problem = refused(shop.post("/v1/revisions", body, "office"), 422, "not-our-form")
        assert [e["pointer"] for e in problem["errors"]] == ["/note"]


def test_a_form_without_files_and_with_a_field_too_many(shop: Shop) -> None:
    answer = shop.ask(
        "office", "POST", "/v1/revisions", data={"note": "n"}, files={"remark/1": (None, b"x")}
    )
    problem = refused(answer, 422, "not-our-form")
    assert [e["pointer"] for e in problem["errors"]] == ["/remark~11", "/tables"]


def test_tables_sent_as_a_text_of_a_form_are_told_where_they_stand(shop: Shop) -> None:
    text = ("tables", (None, TARGETS["targets.csv"]))
    file = ("tables", ("targets.csv", TARGETS["targets.csv"]))
    for files, detail in (
        ([text], "no file is sent: send files with their names, such as `targets.csv`"),
        (
            [text, file],
            ("a text is sent among the files: send files with their names, such as `targets.csv`"),
        ),
    ):
        answer = shop.ask("office", "POST", "/v1/revisions", data={"note": "n"}, files=files)
        problem = refused(answer, 422, "not-our-form")
        assert problem["errors"] == [{"pointer": "/tables", "detail": detail}]


def test_as_many_files_are_read_as_the_contract_allows_and_no_more(shop: Shop) -> None:
    path = Path(__file__).parents[3] / "openapi" / "openapi.json"
    form = json.loads(path.read_text(encoding="utf-8"))["components"]["schemas"]["ProposalForm"]
    most = form["properties"]["tables"]["maxItems"]
    files = {f"t{n}.csv": b"id\n" for n in range(most + 1)}
    body = refused(shop.propose(files), 400, "bad-request")
    assert "more than 100 parts" in body["detail"]
    del files["t0.csv"]
    body = refused(shop.propose(files), 422, "not-publishable")
    assert len([each for each in body["refusals"] if each["rule"] == "unknown-table"]) == most


@pytest.mark.parametrize(
    "kind", ["text/csv", "application/xml", "application/x-www-form-urlencoded", "multipart/mixed"]
)
def test_other_media_types(kind: str, shop: Shop) -> None:
    answer = shop.ask(
        "office",
        "POST",
        "/v1/revisions",
        content=TARGETS["targets.csv"],
        headers={"Content-Type": kind},
    )
    assert "files of a `multipart/form-data` form" in refused(answer, 415, "media-type")["detail"]


@pytest.mark.parametrize(
    ("kind", "status", "problem"),
    [
        ("multipart/form-data", 415, "media-type"),
        ("multipart/form-data; boundary=b", 400, "bad-request"),
        ("application/json", 400, "not-json"),
    ],
)
def test_a_body_that_is_not_what_it_says(kind: str, status: int, problem: str, shop: Shop) -> None:
    answer = shop.ask(
        "office", "POST", "/v1/revisions", content=b"PK\x03\x04", headers={"Content-Type": kind}
    )
    refused(answer, status, problem)


def test_a_body_over_the_limit(prepared: Prepared, folder: Any) -> None:
    settings = Settings(access_log=False, requests_per_second=0, max_upload_bytes=2048)
    with opened(folder, prepared.keys, settings) as small_shop:
        refused(small_shop.propose(TARGETS), 413, "too-large")
        refused(part_json(small_shop), 413, "too-large")


def test_more_rows_than_the_limit(prepared: Prepared, folder: Any) -> None:
    settings = Settings(access_log=False, requests_per_second=0, max_rows_a_table=10)
    with opened(folder, prepared.keys, settings) as strict_shop:
        for answer in (strict_shop.propose(TARGETS), part_json(strict_shop)):
            (refusal,) = refused(answer, 422, "not-publishable")["refusals"]
            assert (refusal["table"], refusal["rule"]) == ("targets", "too-many-rows")


def test_the_uploads_limit_is_not_that_of_questions(prepared: Prepared, folder: Any) -> None:
    settings = Settings(access_log=False, requests_per_second=0, max_body_bytes=1024)
    with opened(folder, prepared.keys, settings) as shop:
        assert len(TARGETS["targets.csv"]) > settings.max_body_bytes
        assert shop.propose(TARGETS, query="?validate_only=true").status_code == 200


@pytest.mark.parametrize(
    "query", ["?validate_only=yes", "?validate_only=", "?dry_run=true", "?validate_only"]
)
def test_queries_that_could_be_taken_for_looking(query: str, shop: Shop) -> None:
    steps = shop.audit()
    refused(shop.propose(TARGETS, query=query), 400, "query")
    assert shop.audit() == steps


def test_a_proposal_against_a_revision_that_is_no_longer_active_is_reported_anew(
    shop: Shop,
) -> None:
    first = shop.propose(TARGETS).json()["report"]
    shop.publish(revised())
    again = shop.get(f"/v1/revisions/{NEW.id}/report").json()
    assert (first["against"], again["summary"]["against"]) == (small().id, revised().id)
    assert first["digest"] != again["digest"]
    assert [r["row"] for r in again["summary"]["rows"]] == [THICK]
    with shop.store.reading() as records:
        assert {r.digest for r in records.reports(NEW.id)} == {first["digest"], again["digest"]}


def test_the_shown_part_of_a_report_is_cut_and_the_totals_are_not() -> None:
    # More changes than are shown with a proposal do not come of two sizes: the cut is looked at
    # here, on the function that every answer goes through.
    report = _many()
    summary = summary_of(report, "sha256:x")
    assert len(summary.changes) == SHOWN < len(report.impact.changes)
    assert summary.totals == report.impact.totals


def _many() -> Report:
    report = report_on(NEW, small())
    changes = report.impact.changes * 20
    return structs.replace(report, impact=structs.replace(report.impact, changes=changes))


def test_a_column_in_another_unit_is_the_same_proposal_with_each_cell_told(shop: Shop) -> None:
    items = as_json(NEW.tables["targets"])
    in_newton = [{**item, "force_n": item["force_kn"] * 1000} for item in items]
    for item in in_newton:
        del item["force_kn"]
    answer = by_json(shop, {"targets": in_newton}, "current").json()
    assert answer["revision"] == NEW.id
    report = answer["report"]
    assert report["converted_count"] == len(items)
    assert len(report["converted"]) == min(len(items), SHOWN)
    first = {
        "table": "targets",
        "line": 1,
        "sent_column": "force_n",
        "sent": f"{in_newton[0]['force_n']:.17g}",
        "column": "force_kn",
        "value": items[0]["force_kn"],
    }
    assert report["converted"][0] == first
    # Whoever approves reads it too: in short, page by page, whole, and on the page.
    path = f"/v1/revisions/{NEW.id}/report"
    assert shop.get(path, "boss").json()["summary"]["converted"][0] == first
    section = shop.get(f"{path}?section=converted&limit=1000", "boss").json()
    assert (section["count"], section["converted"][0]) == (len(items), first)
    assert len(section["converted"]) == len(items)
    whole = shop.get(f"{path}.json", "boss")
    assert whole.json()["converted"] == section["converted"]
    assert f"sha256:{hashlib.sha256(whole.content).hexdigest()}" == report["digest"]
    page = parsed(shop.get(f"{path}.html", "boss").content).part("converted")
    assert f"force_n: {first['sent']}" in page.text
    # Against other tables the report is made anew, and says how the cells were sent all the same.
    shop.publish(revised(1))
    assert shop.get(path, "boss").json()["summary"]["converted_count"] == len(items)
    # The same tables in their own units have a report of their own, without such cells.
    plain = by_json(shop, {"targets": items}, small().id).json()
    assert (plain["revision"], plain["report"]["converted_count"]) == (NEW.id, 0)
    answer = by_json(shop, {"targets": [{**item, "force_n": 1} for item in items]}, "current")
    body = refused(answer, 422, "not-publishable")
    assert {each["rule"] for each in body["refusals"]} == {"column-doubled"}


def test_a_workbook_of_another_revision_takes_nothing_back(shop: Shop) -> None:
    """The file from last week's desk: it would undo what was approved since, and nobody says so."""
    path = "/v1/revisions/{}/tables.xlsx"
    older = shop.get(path.format(small().id)).content
    shop.publish(revised(1))
    (told,) = refused(shop.propose({XLSX: older}), 422, "not-publishable")["refusals"]
    assert (told["rule"], told["value"]) == ("workbook-of-another-revision", small().id)
    assert revised(1).id in told["message"]
    (told,) = refused(shop.propose({XLSX: older}, base=None), 422, "not-publishable")["refusals"]
    assert told["value"] == small().id
    # The workbook of the base is taken, though it says the same tables as those that are active.
    newer = shop.get(path.format(revised(1).id)).content
    assert "nothing differs" in refused(shop.propose({XLSX: newer}), 409, "conflict")["detail"]


@pytest.mark.parametrize("about", ["sha256:0", "", "our tables"])
def test_what_a_workbook_says_of_itself_in_other_words_is_left(about: str, shop: Shop) -> None:
    book = workbook_from_rows({"targets": NEW.tables["targets"]}, about)
    assert shop.propose({XLSX: book}).status_code == 201
