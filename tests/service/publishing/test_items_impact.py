"""Which open items of an ERP are answered otherwise by a revision: exactly those, and how."""

from collections.abc import Callable, Iterator
from typing import Any

import msgspec
import pytest

from catalog.answers.picking import picked
from catalog.compiling import compile_revision
from catalog.questions import AnswerUnits, PickItem
from catalog.revision import Revision, revision_of, rows_of
from catalog.rows import Gauge
from tests.service.publishing.shop import Shop, proposed, refused
from tests.service.publishing.tables import PLAIN, end, revised, small, with_row

NEW, OLD = revised().id, small().id
WIDER = "targets/S/20/2.4/2.6/carbon-steel/metal/none"
NOWHERE = "sha256:" + 64 * "0"


def items() -> list[dict[str, Any]]:
    """Open items of every size and wall, some with a pressure, some that cannot be made."""
    found: list[dict[str, Any]] = []
    for od_mm in (16.0, 20.0, 18.0):
        for wall_mm in (1.0, 2.0, 2.5, 3.0, 2.2):
            for bar in (None, 100, 400):
                for material in ("e235-n", "en-1.4571"):
                    item = end(wall_mm, od_mm)
                    item["tube"]["material"] = material
                    if bar is not None:
                        item["service"] = {
                            "working_pressure": {"value": bar, "unit": "bar"},
                            "temperature": {"value": 20, "unit": "degC"},
                        }
                    item["client_ref"] = f"line {len(found)}"
                    found.append(item)
    return found


ITEMS = items()
ON_A_DIAL = {
    "dial",
    "expected_reading",
    "expected_band",
    "never_exceed",
    "oil_volume",
    "pump_strokes",
}
CHANGES: dict[str, Callable[[], Revision]] = {
    "a force": revised,
    "a rated pressure": lambda: with_row("sizes/S/20", rated_pressure_bar=250.0),
    "a tolerance": lambda: with_row(WIDER, tolerance_percent=7.0),
    "a note that no answer reads": lambda: with_row("sources/demo", note="read again in spring"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_exactly_the_items_whose_answer_differs(change: str, shop: Shop) -> None:
    revision = CHANGES[change]()
    proposed(shop.store, revision)
    told = shop.post(f"/v1/revisions/{revision.id}/impact", {"items": ITEMS}).json()
    assert (told["before"], told["after"], told["asked"]) == (OLD, revision.id, len(ITEMS))
    wanted = dict(differing(small(), revision))
    assert {c["item"]: set(c["differs"]) for c in told["changed"]} == wanted
    assert 0 < len(wanted) < len(ITEMS) or change == "a note that no answer reads"
    for changed in told["changed"]:
        assert changed["client_ref"] == f"line {changed['item']}"
        # The same answers as the picks of both revisions, asked one by one.
        one = {"items": [ITEMS[changed["item"]]], "detail": "full"}
        now = shop.post("/v1/tooling-picks", one).json()["items"][0]
        assert changed["before"]["verdict"] == now["verdict"]
        forces = {k: v for k, v in now.get("target", {}).items() if k not in ON_A_DIAL}
        assert changed["before"].get("target", {}) == forces
        assert changed["before"].get("assembly") == now.get("assembly")


def test_no_item_is_told_a_reading_but_by_how_many_graduations_its_mark_moves(shop: Shop) -> None:
    body = {"items": ITEMS, "detail": "full"}
    higher = revised(100)  # 30 kN, 28.5 before
    proposed(shop.store, higher)
    before = shop.post("/v1/tooling-picks", body).json()["items"]
    changed = impact(shop, higher.id)["changed"]
    shop.publish(higher)
    after = shop.post("/v1/tooling-picks", body).json()["items"]
    moved = 0
    for each in changed:
        assert ON_A_DIAL.isdisjoint(each["before"].get("target", {}))
        assert ON_A_DIAL.isdisjoint(each["after"].get("target", {}))
        old, new = before[each["item"]], after[each["item"]]
        told = _mark(old), _mark(new)
        if None in told or old["pairs"][0]["gauge"] != new["pairs"][0]["gauge"]:
            assert "stop_moves" not in each
            continue
        was, now = told
        assert was is not None
        assert now is not None
        gauge = old["pairs"][0]["gauge"]
        graduation = next(g.graduation for g in rows_of(small(), Gauge) if g.id == gauge)
        assert each["stop_moves"] == pytest.approx((now - was) / graduation)
        moved += each["stop_moves"] != 0
    assert moved


def test_a_window_that_narrows_is_told_though_no_mark_moves(shop: Shop) -> None:
    finer = with_row("gauges/gauge-due", class_percent=0.9)  # 1 before: the guard is smaller
    proposed(shop.store, finer)
    overdue = {"calibration_due": "2026-03-01"}
    told = impact(shop, finer.id, tools={"gauge-a": overdue, "gauge-b": overdue})["changed"]
    changed = [c for c in told if c["before"].get("target")]
    assert changed
    for each in changed:
        assert each["before"]["target"] == each["after"]["target"]
        moved = {move["of"]: move["by"] for move in each["dial"]}
        if each.get("stop_moves") == 0 and moved:
            assert moved["low"] < 0 < moved["high"]
    assert any(each.get("stop_moves") == 0 and each["dial"] for each in changed)


def _mark(item: dict[str, Any]) -> float | None:
    """Mark to stop at of an item, None where it is not allowed or has none."""
    value: float | None = item.get("target", {}).get("dial", {}).get("stop_at", {}).get("value")
    return value


def differing(before: Revision, after: Revision) -> Iterator[tuple[int, set[str]]]:
    """Items that two revisions answer otherwise, each compiled here, and in what they differ."""
    indexes = [compile_revision(revision_of(each.tables)) for each in (before, after)]
    for number, item in enumerate(ITEMS):
        question = msgspec.convert(item, PickItem)
        one, other = (
            msgspec.to_builtins(picked(index, question, AnswerUnits())) for index in indexes
        )
        told = (one.keys() | other.keys()) - {"headline", "sources"}
        parts = {part for part in told if one.get(part) != other.get(part)}
        if parts:
            yield number, parts


def impact(shop: Shop, after: str, **more: Any) -> dict[str, Any]:
    answer = shop.post(f"/v1/revisions/{after}/impact", {"items": ITEMS, **more})
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


def test_a_revision_against_itself_and_there_and_back(shop: Shop) -> None:
    assert impact(shop, "current")["changed"] == []
    there = impact(shop, NEW)
    assert there["changed"]
    back = impact(shop, "current", revision=NEW)
    assert (back["before"], back["after"]) == (NEW, OLD)
    assert [_turned(c) for c in back["changed"]] == [_parts(c) for c in there["changed"]]


def _parts(changed: dict[str, Any]) -> dict[str, Any]:
    """Item by what differs; of the dial what moved, since a share back is another share."""
    return {**changed, "dial": {move["of"] for move in changed["dial"]}}


def _turned(changed: dict[str, Any]) -> dict[str, Any]:
    turned = {**changed, "before": changed["after"], "after": changed["before"]}
    if "stop_moves" in changed:
        turned["stop_moves"] = -changed["stop_moves"]
    return _parts(turned)


def test_a_tool_that_is_overdue_is_offered_by_neither(shop: Shop) -> None:
    tools = {"gauge-a": {"calibration_due": "2026-03-01"}}
    for told in impact(shop, NEW, tools=tools)["changed"]:
        for outcome in (told["before"], told["after"]):
            assert "gauge-a" not in {pair["gauge"] for pair in outcome.get("pairs", ())}
    offered = [
        p["gauge"] for c in impact(shop, NEW)["changed"] for p in c["after"].get("pairs", ())
    ]
    assert "gauge-a" in offered


def test_being_superseded_changes_no_item(shop: Shop) -> None:
    there = impact(shop, NEW)
    shop.publish(revised())
    after = impact(shop, OLD)
    assert (after["before"], after["after"]) == (NEW, OLD)
    assert [c["item"] for c in after["changed"]] == [c["item"] for c in there["changed"]]
    for changed in (*there["changed"], *after["changed"]):
        assert not any(
            code.startswith("revision.")
            for when in ("before", "after")
            for code in changed[when]["codes"]
        )


def test_a_withdrawn_row_counts_where_it_still_stands(shop: Shop) -> None:
    # The row of 16S x 2 is mended in the new revision: its force is the same, its source another.
    mended = with_row(PLAIN, source="common-practice")
    proposed(shop.store, mended)
    body = {"rows": [PLAIN], "reason": "read in the wrong column"}
    assert shop.post(f"/v1/revisions/{OLD}/withdrawals", body, "boss").status_code == 201
    changed = impact(shop, mended.id)["changed"]
    assert changed
    for each in changed:
        assert "revision.withdrawn" in each["before"]["codes"]
        assert "revision.withdrawn" not in each["after"]["codes"]


@pytest.mark.parametrize("grade", ["memory", "demonstration"])
def test_rows_that_are_trusted_less_are_named(grade: str, shop: Shop) -> None:
    doubted = with_row("sources/demo", grade=grade)
    proposed(shop.store, doubted)
    changed = impact(shop, doubted.id)["changed"]
    assert PLAIN in {row for each in changed for row in each["after"][grade]}
    for each in changed:
        assert each["before"]["memory"] == each["before"]["demonstration"] == []
        assert each["after"][grade]
        others = {"memory", "demonstration"} - {grade}
        assert all(each["after"][other] == [] for other in others)


def test_what_cannot_be_compared(shop: Shop) -> None:
    path = f"/v1/revisions/{NEW}/impact"
    refused(
        shop.post(f"/v1/revisions/{NOWHERE}/impact", {"items": ITEMS}), 404, "revision-not-found"
    )
    refused(shop.post(path, {"items": ITEMS, "revision": NOWHERE}), 404, "revision-not-found")
    refused(shop.post(path, {"items": []}), 422, "not-our-form")
