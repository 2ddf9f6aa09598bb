"""The page is well formed, the same bytes every time, and nobody's text becomes part of it."""

import base64
import hashlib
import os
import re
import subprocess
import sys
from itertools import pairwise

import pytest
from msgspec import structs

from catalog.differences import CellChange, RowChange
from catalog.loading import Conversion
from catalog.publishing import Report, report_bytes, report_digest
from service.pages.report import PAGE_CSP, report_page
from service.store.records import Acknowledged, Approval
from tests.service.pages.markup import Node, parsed
from tests.service.pages.reports import about

ATTACK = (
    "<script>alert(1)</script>\"'><img src=x onerror=alert(2)> {{ 7 * 191 }} {% raw %} &lt;b&gt;"
)


@pytest.fixture(scope="module")
def content(report: Report) -> bytes:
    return report_page(report, report_digest(report), about=about(report))


@pytest.fixture(scope="module")
def page(content: bytes) -> Node:
    return parsed(content)


def hostile(report: Report, text: str) -> tuple[Report, Approval]:
    """The report with a text in every place that a person can fill."""
    end = structs.replace(report.impact.changes[0].end, series=text, material=text)
    change = structs.replace(report.impact.changes[0], end=end, press=text, gauge=text)
    impact = structs.replace(
        report.impact,
        changes=(change,),
        ratings=(structs.replace(report.impact.ratings[0], end=end),),
        coverage_lost=(end,),
        not_replayed=(text,),
    )
    doubt = report.doubts[0]
    row = RowChange(
        table=text,
        row=text,
        kind="changed",
        cells=(CellChange(column=text, before=text, after=text + "2"),),
    )
    said = structs.replace(
        report,
        impact=impact,
        rows=(row,),
        converted=(
            Conversion(table=text, line=1, sent_column=text, sent=text, column=text, value=1.0),
        ),
        doubts=(structs.replace(doubt, id=text, rows=(text,), message=text, remedy=text),),
    )
    approval = Approval(
        n=1,
        at=text,
        by=text,
        revision=report.revision,
        against=report.against,
        report=text,
        note=text,
        acknowledged=(Acknowledged(doubt=text, reason=text),),
    )
    return said, approval


def test_a_hostile_text_is_shown_as_it_is_and_adds_nothing(report: Report) -> None:
    def tags(text: str) -> tuple[list[str], Node]:
        said, approval = hostile(report, text)
        more = {"proposer": text, "note": text, "proposed_at": text, "state": text}
        page = parsed(report_page(said, text, about=about(said, approvals=(approval,), **more)))
        return [n.tag for n in page.all()], page

    harmless, _ = tags("plain")
    attacked, page = tags(ATTACK)
    assert attacked == harmless
    assert "script" not in attacked
    wanted = " ".join(ATTACK.split())
    for part in (
        "short",
        "converted",
        "strong-doubts",
        "coverage-lost",
        "ratings",
        "not-replayed",
        "approvals",
    ):
        assert wanted in page.part(part).text, part
    kind = report.impact.changes[0].kind
    assert wanted in page.part(kind).text
    assert wanted in page.all("dl")[0].text
    assert "1337" not in page.text  # 7 * 191: no text is taken for a template


def test_letters_that_hide_or_turn_others_are_told_by_number(report: Report) -> None:
    note = "18L \u202eby the old\u202c issue\u200b\x00\x1b[31m\ud800"
    content = report_page(report, "sha256:0", about=about(report, note=note))
    assert "18L [U+202E]by the old[U+202C] issue[U+200B][U+0000][U+001B][31m[U+D800]" in (
        parsed(content).text
    )
    line = report_page(report, "sha256:0", about=about(report, note="first\r\nsecond\tthird"))
    assert b"first\nsecond\tthird" in line


def test_the_same_report_is_the_same_bytes_in_any_process(report: Report, content: bytes) -> None:
    script = (
        "import sys, msgspec\n"
        "from catalog.publishing import Report, report_digest\n"
        "from service.pages.report import report_page\n"
        "from tests.service.pages.reports import about\n"
        "report = msgspec.json.decode(sys.stdin.buffer.read(), type=Report)\n"
        "page = report_page(report, report_digest(report), about=about(report))\n"
        "sys.stdout.buffer.write(page)\n"
    )
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", script],
            input=report_bytes(report),
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        )
        assert run.stdout == content


def test_the_policy_allows_the_style_of_the_page_and_nothing_else(content: bytes) -> None:
    (style,) = re.findall(rb"<style>(.*?)</style>", content, re.DOTALL)
    own = base64.b64encode(hashlib.sha256(style).digest()).decode()
    policy = dict(part.strip().split(" ", 1) for part in PAGE_CSP.split(";"))
    assert policy == {
        "default-src": "'none'",
        "style-src": f"'sha256-{own}'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "frame-ancestors": "'none'",
    }
    assert b"@import" not in style
    assert b"url(" not in style


def test_the_page_asks_for_nothing_and_runs_nothing(page: Node) -> None:
    for node in page.all():
        assert node.tag not in {"script", "link", "img", "iframe", "object", "form", "base"}
        for name, value in node.attributes.items():
            assert name not in {"style", "src", "srcset", "action"}, node.tag
            assert not name.startswith("on"), node.tag
            if name == "href":
                assert value.startswith("#")


def test_every_link_within_the_page_leads_somewhere(page: Node) -> None:
    ids = [n.attributes["id"] for n in page.all() if "id" in n.attributes]
    assert len(set(ids)) == len(ids)
    links = [n.attributes["href"].removeprefix("#") for n in page.all("a")]
    assert links
    named = [n.attributes["aria-labelledby"] for n in page.all("section")]
    assert set(links + named) <= set(ids)


def test_headings_stand_in_order_and_the_page_has_a_name_and_a_language(page: Node) -> None:
    levels = [int(n.tag[1]) for n in page.all("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    for above, below in pairwise(levels):
        assert below <= above + 1
    assert page.one("html").attributes["lang"] == "en"
    assert page.one("title").text.startswith("Impact report ")
    assert "width=device-width" in [n.attributes.get("content", "") for n in page.all("meta")][1]


def test_every_table_says_what_its_cells_are(page: Node) -> None:
    assert page.all("table")
    for table in page.all("table"):
        assert table.one("caption").text
        for head in table.all("th"):
            assert head.attributes["scope"] in {"col", "row", "rowgroup"}
        columns = [n.text for n in table.one("thead").all("th")]
        for row in table.all("tr"):
            cells = row.all("th", "td")
            if "group" in row.classes:
                assert int(cells[0].attributes["colspan"]) == len(columns)
                continue
            assert len(cells) == len(columns)
            if "cards" in table.classes and row.all("td"):
                # On a phone each cell carries the head of its column.
                told = [n.attributes.get("data-head") for n in cells]
                assert told[1:] == columns[1:]
