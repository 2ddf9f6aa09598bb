"""Withdrawing: from that moment no answer rests on it, pinned or not, in any process."""

from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.catalog.synthetic import CONTROL
from tests.service.publishing.apart import apart
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import Shop, refused
from tests.service.publishing.tables import (
    PLAIN,
    THICK,
    end,
    revised,
    small,
    target_question,
    with_row,
)
from tests.service.serving import mm

pytestmark = pytest.mark.apart

NEW, OLD = revised().id, small().id
Question = tuple[str, dict[str, Any]]

QUESTIONS: dict[str, Question] = {
    "press target": ("/v1/press-targets", target_question(2.0)),
    "force alone": ("/v1/press-targets", end(2.0)),
    "tooling pick": ("/v1/tooling-picks", {"items": [end(2.0)]}),
    "setup check": ("/v1/setup-checks", CONTROL),
    "tube rating": (
        "/v1/tube-ratings",
        {
            "tube": {"od": mm(16), "wall": mm(2), "material": "e235-n"},
            "methods": ["iso-10763", "din-2413-static"],
        },
    ),
    "by a stress of the question": (
        "/v1/tube-ratings",
        {
            "tube": {"od": mm(16), "wall": mm(2)},
            "allowable_stress": {"value": 100, "unit": "MPa"},
            "methods": ["barlow"],
        },
    ),
}
ALL = set(QUESTIONS)
PRESSED = {"press target", "force alone", "tooling pick", "setup check"}
WIDER = "targets/S/20/2.4/2.6/carbon-steel/metal/none"
"""A target that nobody here asks for."""
RESTS: dict[str, set[str]] = {
    PLAIN: PRESSED,
    "materials/e235-n": ALL - {"by a stress of the question"},
    "presses/press-b": {"press target", "tooling pick", "setup check"},
    "gauges/gauge-b": {"press target", "tooling pick", "setup check"},
    "cones/cone-S-16": PRESSED,
    "sizes/S/16": PRESSED,
    THICK: set(),
    WIDER: set(),
}
"""Rows, and the questions that cannot be answered without reading them."""


def answers(client: httpx.Client, key: str, **more: Any) -> dict[str, httpx.Response]:
    """Answer to every kind of question."""
    headers = {"Authorization": f"Bearer {key}"}
    return {
        name: client.post(path, json={"detail": "full", **question, **more}, headers=headers)
        for name, (path, question) in QUESTIONS.items()
    }


def findings_of(answer: httpx.Response, code: str) -> list[dict[str, Any]]:
    """Findings of this code in an answer, or in the items of one; each of them rejects."""
    assert answer.status_code == 200, answer.text
    told = answer.json()
    found = [f for part in told.get("items", [told]) for f in part["findings"] if f["code"] == code]
    assert {f["severity"] for f in found} <= {"reject"}
    return found


def withdrawn(answer: httpx.Response) -> bool:
    """Whether an answer is rejected because what it rests on was withdrawn."""
    said = bool(findings_of(answer, "revision.withdrawn"))
    assert not said or answer.json()["verdict"] == "rejected"
    return said


def withdraw(shop: Shop, revision: str, **body: Any) -> httpx.Response:
    return shop.post(
        f"/v1/revisions/{revision}/withdrawals", {"reason": "ring crushed", **body}, "boss"
    )


def test_a_whole_revision_in_every_process_and_from_the_next_request_on(
    shop: Shop, folder: Path
) -> None:
    shop.publish(revised())
    with apart(folder) as other:
        for client in (shop.client, other):
            for more in ({}, {"revision": OLD}, {"revision": NEW}):
                asked = answers(client, shop.keys["erp"], **more)
                assert not any(map(withdrawn, asked.values()))
        before = answers(other, shop.keys["erp"])
        assert withdraw(shop, OLD, whole=True).status_code == 201
        # The other process first: it has not heard of anything but through the store.
        for client in (other, shop.client):
            pinned = answers(client, shop.keys["erp"], revision=OLD)
            assert {name for name, answer in pinned.items() if withdrawn(answer)} == ALL
            assert {a.headers["catalog-revision"] for a in pinned.values()} == {OLD}
            now = answers(client, shop.keys["erp"])
            assert {n: a.content for n, a in now.items()} == {
                n: a.content for n, a in before.items()
            }
        assert withdraw(shop, NEW, whole=True).status_code == 201
        for client in (other, shop.client):
            for more in ({}, {"revision": NEW}):
                asked = answers(client, shop.keys["erp"], **more)
                assert all(map(withdrawn, asked.values())), more
    state = shop.get(f"/v1/revisions/{NEW}").json()
    assert state["revision"]["state"] == "withdrawn"
    (kept,) = state["withdrawals"]
    assert (kept["by"], kept["reason"], kept.get("row")) == ("boss", "ring crushed", None)


@pytest.mark.parametrize("row", RESTS)
def test_a_row_and_exactly_what_rests_on_it(row: str, shop: Shop, folder: Path) -> None:
    pins: tuple[dict[str, str], ...] = ({}, {"revision": OLD}, {"revision": NEW})
    before = [answers(shop.client, shop.keys["erp"], **pin) for pin in pins]
    assert withdraw(shop, OLD, rows=[row]).status_code == 201
    for pin, earlier in zip(pins, before, strict=True):
        # The row of 16S x 2.5 says something else in the new revision; all others are the same.
        after = answers(shop.client, shop.keys["erp"], **pin)
        assert {name for name, answer in after.items() if withdrawn(answer)} == RESTS[row]
        for name in ALL - RESTS[row]:
            assert after[name].content == earlier[name].content, name
        for name in RESTS[row]:
            (finding,) = findings_of(after[name], "revision.withdrawn")
            assert finding["basis"] == [row]
            assert "boss" in finding["message"]
            assert "ring crushed" in finding["message"]


def test_a_row_in_another_process_and_from_the_next_request_on(shop: Shop, folder: Path) -> None:
    with apart(folder) as other:
        before = answers(other, shop.keys["erp"])
        assert not any(map(withdrawn, before.values()))
        withdraw(shop, OLD, rows=[PLAIN])
        after = answers(other, shop.keys["erp"])
        assert {name for name, answer in after.items() if withdrawn(answer)} == RESTS[PLAIN]


def test_a_mended_row_under_the_same_key_is_another_row(shop: Shop) -> None:
    def thick(**more: Any) -> httpx.Response:
        return shop.post("/v1/press-targets", target_question(2.5, **more))

    assert withdraw(shop, OLD, rows=[THICK]).status_code == 201
    assert withdrawn(thick())
    shop.publish(revised())
    assert not withdrawn(thick())
    assert withdrawn(thick(revision=OLD))
    # A third revision that brings back the row as it was: it is withdrawn there too.
    third = with_row(WIDER, tolerance_percent=8.5)
    shop.publish(third)
    assert withdrawn(thick())
    assert withdrawn(thick(revision=third.id))
    assert not withdrawn(thick(revision=NEW))


def test_the_same_row_in_another_revision_is_withdrawn_too(shop: Shop) -> None:
    # 16S x 2 says the same in both; the withdrawal names the old one.
    withdraw(shop, OLD, rows=[PLAIN])
    shop.publish(revised())
    for pin in ({}, {"revision": OLD}):
        asked = answers(shop.client, shop.keys["erp"], **pin)
        assert {name for name, answer in asked.items() if withdrawn(answer)} == RESTS[PLAIN]
    states = {r["revision"]: r for r in shop.get("/v1/revisions").json()["revisions"]}
    assert (states[OLD]["withdrawn_rows"], states[NEW]["withdrawn_rows"]) == (1, 0)


@pytest.mark.parametrize("body", [{"whole": True}, {"rows": [PLAIN]}], ids=["whole", "row"])
def test_withdrawing_again_keeps_the_first(body: dict[str, Any], shop: Shop) -> None:
    first = withdraw(shop, OLD, **body)
    steps = shop.audit()
    again = withdraw(shop, OLD, **body, reason="other words")
    assert again.status_code == 201
    assert again.json() == first.json()
    assert shop.audit() == steps


def test_some_rows_new_and_some_withdrawn_before(shop: Shop) -> None:
    first = withdraw(shop, OLD, rows=[PLAIN]).json()["withdrawals"]
    both = withdraw(shop, OLD, rows=[THICK, PLAIN, THICK]).json()["withdrawals"]
    assert [w["row"] for w in both] == [THICK, PLAIN]
    assert both[1:] == first
    assert shop.faults() == ()


WRONG: dict[str, tuple[dict[str, Any], list[str]]] = {
    "unknown rows among known ones": (
        {"rows": [PLAIN, "targets/S/17", "presses", THICK]},
        ["/rows/1", "/rows/2"],
    ),
    "neither": ({}, ["/rows"]),
    "both": ({"rows": [PLAIN], "whole": True}, ["/rows"]),
    "no reason": ({"rows": [PLAIN], "reason": ""}, ["/reason"]),
    "a blank reason": ({"whole": True, "reason": "  "}, ["/reason"]),
    "a whole that is no truth": ({"whole": "yes"}, ["/whole"]),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_cannot_be_withdrawn(wrong: str, shop: Shop) -> None:
    body, pointers = WRONG[wrong]
    steps = shop.audit()
    problem = refused(withdraw(shop, OLD, **body), 422, "not-our-form")
    assert [e["pointer"] for e in problem["errors"]] == pointers
    assert shop.audit() == steps


def test_one_is_counted_as_one(shop: Shop) -> None:
    one_row = refused(withdraw(shop, OLD, rows=["targets/S/17"]), 422, "not-our-form")
    one_line = refused(withdraw(shop, OLD, whole=True, reason="a\u200bb"), 422, "not-our-form")
    assert [one_row["detail"], one_line["detail"]] == ["1 row not found", "1 line to mend"]


def test_what_is_withdrawn_is_named(shop: Shop) -> None:
    # `current` may be another revision by the time this is done.
    refused(withdraw(shop, "current", whole=True), 409, "conflict")


def test_a_revision_that_is_not_stored(shop: Shop) -> None:
    nowhere = "sha256:" + 64 * "0"
    refused(withdraw(shop, nowhere, whole=True), 404, "revision-not-found")


def test_what_was_never_active_is_rejected_without_a_target(prepared: Prepared, shop: Shop) -> None:
    for name, answer in answers(shop.client, shop.keys["erp"], revision=NEW).items():
        told = answer.json()
        assert told["verdict"] == "rejected", name
        assert findings_of(answer, "revision.not-active-yet"), name
        assert not any("target" in part for part in told.get("items", [told])), name
    # Approved is not active either.
    assert shop.approve(NEW, prepared.revised).status_code == 201
    told = shop.post("/v1/press-targets", target_question(revision=NEW)).json()
    assert (told["verdict"], "target" in told) == ("rejected", False)


def test_going_back_from_a_withdrawn_revision(shop: Shop) -> None:
    before = answers(shop.client, shop.keys["erp"])
    shop.publish(revised())
    withdraw(shop, NEW, whole=True)
    assert all(map(withdrawn, answers(shop.client, shop.keys["erp"]).values()))
    assert shop.activate(OLD).status_code == 200
    after = answers(shop.client, shop.keys["erp"])
    assert {n: a.content for n, a in after.items()} == {n: a.content for n, a in before.items()}
