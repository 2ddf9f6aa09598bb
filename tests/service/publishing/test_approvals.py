"""Approving: a second person, by the digest of the report that was read, doubt by doubt."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import httpx
import pytest

from service.office.keys import make_key, revoke_key
from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import AT, Shop, refused
from tests.service.publishing.tables import doubtful, revised, small

NEW, DOUBTFUL = revised().id, doubtful().id


def reasons(shop: Shop, reason: str = "pressed three rings, cut one open") -> list[dict[str, str]]:
    """An acknowledgement of every strong doubt."""
    return [{"doubt": doubt, "reason": reason} for doubt in shop.strong(DOUBTFUL)]


def approvals(shop: Shop) -> int:
    with shop.store.reading() as records:
        return len(records.approvals())


@pytest.mark.parametrize("as_given", ["the key it was proposed with", "another key of that name"])
def test_the_proposer_may_not_approve(as_given: str, prepared: Prepared, shop: Shop) -> None:
    if as_given == "another key of that name":
        key = shop.keys["office-again"]
    else:
        # One key may do both: what counts is who has proposed this revision.
        made = make_key(
            shop.store, "office", ("propose", "approve"), expires_at=None, by="cli", at=AT
        )
        key = made.text
    answer = shop.client.post(
        f"/v1/revisions/{NEW}/approvals",
        headers={"Authorization": f"Bearer {key}"},
        json={"report": prepared.revised, "note": "read"},
    )
    problem = refused(answer, 403, "not-allowed")
    assert "`office`" in problem["detail"]
    assert approvals(shop) == 0


def test_whoever_proposed_other_tables_may_approve(prepared: Prepared, shop: Shop) -> None:
    made = make_key(
        shop.store, "other office", ("propose", "approve"), expires_at=None, by="cli", at=AT
    )
    answer = shop.client.post(
        f"/v1/revisions/{NEW}/approvals",
        headers={"Authorization": f"Bearer {made.text}"},
        json={"report": prepared.revised, "note": "read"},
    )
    assert answer.status_code == 201
    told = answer.json()
    assert (told["by"], told["against"], told["report"]) == (
        "other office",
        small().id,
        prepared.revised,
    )
    (kept,) = shop.get(f"/v1/revisions/{NEW}").json()["approvals"]
    assert kept == told


@pytest.mark.parametrize("whose", ["nobody's", "of another revision"])
def test_the_digest_of_no_report_on_this_revision(
    whose: str, prepared: Prepared, shop: Shop
) -> None:
    digest = "sha256:" + 64 * "0" if whose == "nobody's" else prepared.doubtful
    problem = refused(shop.approve(NEW, digest), 409, "conflict")
    assert f"GET /v1/revisions/{NEW}/report" in problem["detail"]
    assert approvals(shop) == 0


def test_a_report_is_stale_once_another_revision_is_active(prepared: Prepared, shop: Shop) -> None:
    third = revised(3)
    shop.publish(third)
    problem = refused(shop.approve(NEW, prepared.revised), 409, "conflict")
    assert small().id in problem["detail"]
    assert third.id in problem["detail"]
    # The report against the one that is active now can be approved.
    digest = shop.get(f"/v1/revisions/{NEW}/report").json()["digest"]
    assert digest != prepared.revised
    assert shop.approve(NEW, digest).status_code == 201


def test_every_strong_doubt_is_answered_for_by_itself(prepared: Prepared, shop: Shop) -> None:
    right = reasons(shop)
    assert len(right) >= 2
    other = {"doubt": right[0]["doubt"] + "x", "reason": "seen"}
    wrong: list[tuple[list[dict[str, str]], list[str]]] = [
        ([], ["/acknowledged"] * len(right)),
        (right[1:], ["/acknowledged"]),
        ([*right, other], [f"/acknowledged/{len(right)}/doubt"]),
        ([*right, right[0]], [f"/acknowledged/{len(right)}/doubt"]),
        ([other], ["/acknowledged/0/doubt", *["/acknowledged"] * len(right)]),
    ]
    for acknowledged, pointers in wrong:
        answer = shop.approve(DOUBTFUL, prepared.doubtful, acknowledged=acknowledged)
        problem = refused(answer, 422, "not-our-form")
        assert [e["pointer"] for e in problem["errors"]] == pointers
        assert approvals(shop) == 0
    answer = shop.approve(DOUBTFUL, prepared.doubtful, acknowledged=right)
    assert answer.status_code == 201
    assert answer.json()["acknowledged"] == right


def test_doubts_of_a_report_without_any(prepared: Prepared, shop: Shop) -> None:
    assert shop.strong(NEW) == []
    answer = shop.approve(NEW, prepared.revised, acknowledged=reasons(shop)[:1])
    problem = refused(answer, 422, "not-our-form")
    assert [e["pointer"] for e in problem["errors"]] == ["/acknowledged/0/doubt"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"note": ""}, "/note"),
        ({"note": None}, "/note"),
        ({"note": " "}, "/note"),
        ({"report": "latest"}, "/report"),
        ({"reprot": "sha256:" + 64 * "0"}, "/reprot"),
        ({"acknowledged": [{"doubt": "d"}]}, "/acknowledged/0/reason"),
        ({"acknowledged": [{"doubt": "d", "reason": ""}]}, "/acknowledged/0/reason"),
        ({"acknowledged": [{"doubt": "d", "reason": " \t"}]}, "/acknowledged/0/reason"),
    ],
)
def test_an_approval_that_is_not_of_our_form(
    change: dict[str, Any], pointer: str, prepared: Prepared, shop: Shop
) -> None:
    body = {"report": prepared.revised, "note": "read", **change}
    problem = refused(
        shop.post(f"/v1/revisions/{NEW}/approvals", body, "lead"), 422, "not-our-form"
    )
    assert pointer in {e["pointer"] for e in problem["errors"]}
    assert approvals(shop) == 0


def test_a_withdrawn_revision_is_not_approved(prepared: Prepared, shop: Shop) -> None:
    body = {"whole": True, "reason": "wrong unit"}
    assert shop.post(f"/v1/revisions/{NEW}/withdrawals", body, "boss").status_code == 201
    problem = refused(shop.approve(NEW, prepared.revised), 409, "conflict")
    assert "withdrawn" in problem["detail"]
    assert shop.get(f"/v1/revisions/{NEW}").json()["revision"]["state"] == "withdrawn"


def test_a_revision_that_is_not_stored(prepared: Prepared, shop: Shop) -> None:
    for name in ("sha256:" + 64 * "0", "latest", "current.csv"):
        refused(shop.approve(name, prepared.revised), 404, "revision-not-found")


def test_an_approval_is_for_the_revision_that_was_active_then(
    prepared: Prepared, shop: Shop
) -> None:
    assert shop.approve(NEW, prepared.revised).status_code == 201
    state = shop.get(f"/v1/revisions/{NEW}").json()["revision"]["state"]
    shop.publish(revised(3))
    later = shop.get(f"/v1/revisions/{NEW}").json()["revision"]["state"]
    assert (state, later) == ("approved", "proposed")
    refused(shop.activate(NEW), 409, "conflict")


def key_of(shop: Shop, name: str) -> str:
    return make_key(shop.store, name, ("approve",), expires_at=None, by="cli", at=AT).text


def approve_as(shop: Shop, key: str, digest: str, **body: Any) -> httpx.Response:
    headers = {"Authorization": f"Bearer {key}"}
    body = {"report": digest, "note": "read", **body}
    return shop.client.post(f"/v1/revisions/{NEW}/approvals", headers=headers, json=body)


def test_who_approves_a_report_again_gets_the_first_approval(
    prepared: Prepared, shop: Shop
) -> None:
    first = shop.approve(NEW, prepared.revised)
    assert first.status_code == 201
    # Another key of that name is the same person.
    again, steps = key_of(shop, "lead"), shop.audit()
    for note in ("read", "read once more"):
        for repeated in (
            shop.post(
                f"/v1/revisions/{NEW}/approvals",
                {"report": prepared.revised, "note": note},
                "lead",
            ),
            approve_as(shop, again, prepared.revised, note=note),
        ):
            assert (repeated.status_code, repeated.content) == (200, first.content)
    assert shop.audit() == steps
    assert shop.get(f"/v1/revisions/{NEW}").json()["approvals"] == [first.json()]
    assert shop.activate(NEW).status_code == 200
    assert shop.faults() == ()


def test_another_person_or_another_report_is_another_approval(
    prepared: Prepared, shop: Shop
) -> None:
    first = shop.approve(NEW, prepared.revised).json()
    other = approve_as(shop, key_of(shop, "second lead"), prepared.revised)
    assert (other.status_code, other.json()["n"]) == (201, first["n"] + 1)
    shop.publish(revised(3))
    digest = shop.get(f"/v1/revisions/{NEW}/report").json()["digest"]
    newer = shop.approve(NEW, digest)
    assert (newer.status_code, newer.json()["report"]) == (201, digest)
    assert shop.approve(NEW, digest).json() == newer.json()
    # The report that was approved first is stale, and it is not approved by having been.
    refused(shop.approve(NEW, prepared.revised), 409, "conflict")


def test_what_is_wrong_with_an_approval_is_wrong_the_second_time(
    prepared: Prepared, shop: Shop
) -> None:
    right = reasons(shop)
    assert shop.approve(DOUBTFUL, prepared.doubtful, acknowledged=right).status_code == 201
    refused(shop.approve(DOUBTFUL, prepared.doubtful), 422, "not-our-form")
    other = reasons(shop, "cut open two")
    repeated = shop.approve(DOUBTFUL, prepared.doubtful, acknowledged=other)
    assert (repeated.status_code, repeated.json()["acknowledged"]) == (200, right)
    whole = {"whole": True, "reason": "wrong unit"}
    assert shop.post(f"/v1/revisions/{DOUBTFUL}/withdrawals", whole, "boss").status_code == 201
    refused(shop.approve(DOUBTFUL, prepared.doubtful, acknowledged=right), 409, "conflict")


def test_approvals_at_the_same_time_are_one(prepared: Prepared, shop: Shop) -> None:
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: shop.approve(NEW, prepared.revised), range(8)))
    assert sorted(each.status_code for each in answers) == [200] * 7 + [201]
    assert len({each.content for each in answers}) == 1
    assert approvals(shop) == 1


def test_an_approval_counts_though_somebody_who_has_left_approved_after_it(
    prepared: Prepared, shop: Shop
) -> None:
    assert shop.approve(NEW, prepared.revised).status_code == 201
    key = key_of(shop, "second lead")
    assert approve_as(shop, key, prepared.revised).status_code == 201
    revoke_key(shop.store, key.split("_")[1], reason="left", by="cli", at=AT)
    # Who has approved it cannot approve it anew, so the first approval must count.
    assert shop.approve(NEW, prepared.revised).status_code == 200
    activated = shop.activate(NEW)
    assert (activated.status_code, activated.json()["approval"]) == (200, 1)
