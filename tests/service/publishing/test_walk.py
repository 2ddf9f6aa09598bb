"""The whole walk: an office edits one row, a second person approves, the bench presses by it."""

import csv
import hashlib
import io
import re
from typing import Any

from catalog.rows import Target
from tests.service.publishing.shop import Shop, pages
from tests.service.publishing.tables import THICK, end, target_question

NEW_KN = "29.5"
SECTIONS = {
    "rows": "rows",
    "doubts": "doubts",
    "changes": "changes",
    "ratings": "ratings",
    "coverage-lost": "ends",
    "coverage-gained": "ends",
}

PICK = {"items": [end()], "detail": "full"}


def edited(text: str) -> bytes:
    """The CSV that an office has got, one force of it changed."""
    grid = list(csv.DictReader(io.StringIO(text)))
    key = THICK.split("/")[1:]
    # Blank keys are no part of a name.
    columns = Target.key_columns
    (row,) = [line for line in grid if [line[c] for c in columns if line[c]] == key]
    row["force_kn"], row["ceiling_kn"] = NEW_KN, "36.9"
    out = io.StringIO()
    writer = csv.DictWriter(out, list(grid[0]))
    writer.writeheader()
    writer.writerows(grid)
    return out.getvalue().encode()


def test_an_office_revises_a_force_and_goes_back(shop: Shop) -> None:
    # What the bench is told today.
    before = shop.post("/v1/press-targets", target_question()).json()
    picked_before = shop.post("/v1/tooling-picks", PICK).json()
    old = before["revision"]
    assert before["target"]["force"] == {"value": 28.5, "unit": "kN"}

    # The office takes the table as it is, edits one row, looks, and proposes.
    table = shop.get("/v1/revisions/current/tables/targets.csv", "office")
    assert table.headers["content-type"].startswith("text/csv")
    files = {"targets.csv": edited(table.text)}
    looked = shop.propose(files, query="?validate_only=true")
    assert looked.status_code == 200
    assert looked.json()["stored"] is False
    steps = len(shop.audit())
    answer = shop.propose(files)
    assert answer.status_code == 201
    proposal = answer.json()
    assert len(shop.audit()) == steps + 2  # the proposal and its report
    assert proposal["report"] == looked.json()["report"]
    assert (proposal["proposed_by"], proposal["base"]) == ("office", old)
    new, digest = proposal["revision"], proposal["report"]["digest"]

    # Nobody presses by it yet.
    assert shop.post("/v1/press-targets", target_question()).json() == before

    # The approver reads the report: in short, page by page, and whole.
    report = f"/v1/revisions/{new}/report"
    short = shop.get(report, "lead").json()
    assert short == {"digest": digest, "summary": proposal["report"]}
    assert short["summary"]["row_changes"] == 1
    whole = shop.get(f"{report}.json", "lead")
    assert "sha256:" + hashlib.sha256(whole.content).hexdigest() == digest
    told = whole.json()
    (row,) = told["rows"]
    assert (row["row"], {c["column"] for c in row["cells"]}) == (THICK, {"force_kn", "ceiling_kn"})
    sections = {
        "rows": told["rows"],
        "doubts": told["doubts"],
        "changes": told["impact"]["changes"],
        "ratings": told["impact"]["ratings"],
        "coverage-lost": told["impact"]["coverage_lost"],
        "coverage-gained": told["impact"]["coverage_gained"],
    }
    assert len(sections["changes"]) > 4  # more than a page of them
    for section, items in sections.items():
        for limit in (1, 4, 1000):
            assert pages(shop, report, SECTIONS[section], limit, section=section) == items
    kinds = {change["kind"] for change in sections["changes"]}
    by_kind = [pages(shop, report, "changes", 3, section="changes", kind=k) for k in kinds]
    assert sum(map(len, by_kind)) == len(sections["changes"])

    # The lead approves what was read, the boss puts it in force over the activation that was seen.
    assert shop.approve(new, digest).status_code == 201
    active = shop.get("/v1/active", "boss")
    wanted = {"If-Match": active.headers["etag"]}
    body = {"revision": new, "note": "16S x 2.5 from Monday on"}
    activated = shop.ask("boss", "PUT", "/v1/active", json=body, headers=wanted)
    assert activated.status_code == 200
    told = activated.json()
    assert (told["n"], told["by"], told["revision"], told["previous"]) == (2, "boss", new, old)
    assert told["approval"] == 1

    # The next questions are answered by it.
    after = shop.post("/v1/press-targets", target_question())
    assert after.headers["catalog-revision"] == after.json()["revision"] == new
    assert after.json()["target"]["force"] == {"value": float(NEW_KN), "unit": "kN"}
    pick = shop.post("/v1/tooling-picks", PICK)
    assert pick.headers["catalog-revision"] == pick.json()["revision"] == new
    assert pick.json()["items"][0]["target"]["force"] == {"value": float(NEW_KN), "unit": "kN"}

    # The old one, pinned: the same numbers, working and findings, and that it was superseded.
    pinned = shop.post("/v1/press-targets", target_question(revision=old))
    assert pinned.headers["catalog-revision"] == old
    assert without_superseded(pinned.json(), 1) == without_superseded(before, 0)
    pinned_pick = shop.post(
        "/v1/tooling-picks", {"items": [end()], "revision": old, "detail": "full"}
    ).json()
    assert without_superseded(beside(pinned_pick), 1) == without_superseded(
        beside(picked_before), 0
    )

    # Back again, with a note and no approval; the answers are those of before, byte for byte.
    back = shop.activate(old)
    assert back.status_code == 200
    assert "approval" not in back.json() or back.json()["approval"] is None
    assert shop.post("/v1/press-targets", target_question()).json() == before
    assert shop.post("/v1/tooling-picks", PICK).json() == picked_before

    # The feed tells all of it, page by page; the trail has every step, and its chain holds.
    feed = pages(shop, "/v1/activations", "activations", 2)
    assert [(a["n"], a["revision"]) for a in feed] == [(1, old), (2, new), (3, old)]
    assert shop.get("/v1/activations?after=2").json() == {"activations": feed[2:]}
    trail = pages(shop, "/v1/audit", "entries", 2)
    assert [(e["action"], e["by"]) for e in trail[steps:]] == [
        ("propose", "office"),
        ("report", "office"),
        ("approve", "lead"),
        ("activate", "boss"),
        ("activate", "boss"),
    ]
    assert shop.faults() == ()


def beside(pick: dict[str, Any]) -> dict[str, Any]:
    """The only item of a pick, with what is said of the data."""
    (item,) = pick["items"]
    return {**item, "findings": [*item["findings"], *pick["findings"]]}


def without_superseded(answer: dict[str, object], times: int) -> dict[str, object]:
    """An answer without what its standing adds, which must stand there so often.

    The caution makes a verdict that was `allowed` one with cautions: the rest must say why.
    """
    findings = answer["findings"]
    assert isinstance(findings, list)
    assert sum(f["code"] == "revision.superseded" for f in findings) == times
    rest = [f for f in findings if f["code"] != "revision.superseded"]
    verdict = answer["verdict"]
    if times and not any(f["severity"] == "caution" for f in rest):
        assert verdict == "allowed-with-cautions"
        verdict = "allowed"
    line = re.sub(r"(?<=to read: )\d+", lambda n: str(int(n[0]) - times), str(answer["headline"]))
    return {**answer, "verdict": verdict, "headline": line, "findings": rest}
