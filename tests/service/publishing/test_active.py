"""Activating: over the activation that was seen, and no other; going back needs no approval."""

import re
import threading
from collections.abc import Callable
from functools import partial
from typing import Any

import httpx
import pytest

from tests.service.publishing.conftest import Prepared
from tests.service.publishing.shop import Shop, opened, proposed, refused
from tests.service.publishing.tables import revised, small
from tests.service.test_contract import OPERATIONS

pytestmark = pytest.mark.apart

NEW, OLD = revised().id, small().id
(DESCRIBED,) = [
    told["schema"]["pattern"]
    for told in OPERATIONS["activate"]["parameters"]
    if told["name"] == "If-Match"
]
"""What a client is told to send as `If-Match`."""


def put(shop: Shop, revision: str = NEW, /, tags: str | None = None, **body: Any) -> httpx.Response:
    """Answer to an activation that says what is given, and no more."""
    headers = {} if tags is None else {"If-Match": tags}
    body = {"revision": revision, "note": "from Monday on", **body}
    return shop.ask("boss", "PUT", "/v1/active", json=body, headers=headers)


@pytest.fixture
def approved(prepared: Prepared, shop: Shop) -> Shop:
    """The shop with a revision that may be activated."""
    assert shop.approve(NEW, prepared.revised).status_code == 201
    return shop


def active(shop: Shop) -> tuple[int, str]:
    told = shop.get("/v1/active").json()
    return told["n"], told["revision"]


def etag(shop: Shop) -> str:
    return str(shop.get("/v1/active").headers["etag"])


NEVER: dict[str, tuple[Callable[[str], dict[str, Any]], int, str]] = {
    "nothing said": (lambda _tag: {}, 428, "expected-missing"),
    "any": (lambda _tag: {"tags": "*"}, 428, "expected-missing"),
    "another tag": (lambda _tag: {"tags": '"' + 64 * "0" + '"'}, 412, "changed"),
    "the tag without quotes": (lambda tag: {"tags": tag.strip('"')}, 412, "changed"),
    "a weak tag": (lambda tag: {"tags": f"W/{tag}"}, 412, "changed"),
    "an empty header": (lambda _tag: {"tags": ""}, 412, "changed"),
    "the number before": (lambda _tag: {"expected_activation": 0}, 409, "conflict"),
    "the number after": (lambda _tag: {"expected_activation": 2}, 409, "conflict"),
    "any, and another number": (
        lambda _tag: {"tags": "*", "expected_activation": 2},
        409,
        "conflict",
    ),
    "the tag, and another number": (
        lambda tag: {"tags": tag, "expected_activation": 2},
        409,
        "conflict",
    ),
    "the number, and another tag": (
        lambda _tag: {"tags": '"x"', "expected_activation": 1},
        412,
        "changed",
    ),
}


@pytest.mark.parametrize("said", NEVER)
def test_an_activation_that_does_not_name_the_one_that_holds(said: str, approved: Shop) -> None:
    more, status, kind = NEVER[said]
    steps = approved.audit()
    refused(put(approved, **more(etag(approved))), status, kind)
    assert active(approved) == (1, OLD)
    assert approved.audit() == steps


@pytest.mark.parametrize(
    "more",
    [
        lambda tag: {"tags": tag},
        lambda tag: {"tags": f'"{64 * "0"}" ,  {tag}'},
        lambda _tag: {"expected_activation": 1},
        lambda _tag: {"tags": "*", "expected_activation": 1},
        lambda tag: {"tags": tag, "expected_activation": 1},
    ],
    ids=["tag", "list of tags", "number", "any and number", "tag and number"],
)
def test_an_activation_that_names_the_one_that_holds(
    more: Callable[[str], dict[str, Any]], approved: Shop
) -> None:
    answer = put(approved, **more(etag(approved)))
    assert answer.status_code == 200, answer.text
    assert active(approved) == (2, NEW)


def test_what_is_active_already(approved: Shop) -> None:
    problem = refused(put(approved, OLD, expected_activation=1), 409, "conflict")
    assert "active already" in problem["detail"]


def test_a_put_that_is_sent_twice_is_done_once(approved: Shop) -> None:
    tag = etag(approved)
    assert put(approved, tags=tag).status_code == 200
    refused(put(approved, tags=tag), 412, "changed")
    refused(put(approved, expected_activation=1), 409, "conflict")
    assert active(approved) == (2, NEW)


def test_a_revision_that_nobody_approved(shop: Shop) -> None:
    problem = refused(put(shop, expected_activation=1), 409, "conflict")
    assert "approved" in problem["detail"]


def test_a_revision_that_is_not_stored(shop: Shop) -> None:
    refused(put(shop, "sha256:" + 64 * "0", expected_activation=1), 404, "revision-not-found")
    problem = refused(put(shop, "latest", expected_activation=1), 422, "not-our-form")
    assert [e["pointer"] for e in problem["errors"]] == ["/revision"]


@pytest.mark.parametrize("note", ["", "  ", None], ids=["empty", "blank", "null"])
def test_an_activation_has_a_note(note: Any, approved: Shop) -> None:
    problem = refused(put(approved, expected_activation=1, note=note), 422, "not-our-form")
    assert [e["pointer"] for e in problem["errors"]] == ["/note"]


def test_an_approval_against_a_revision_that_is_no_longer_active(approved: Shop) -> None:
    approved.publish(revised(3))
    problem = refused(put(approved, expected_activation=2), 409, "conflict")
    assert "against" in problem["detail"]
    # Back where it was approved, it holds again: the approver has seen exactly this step.
    assert put(approved, OLD, expected_activation=2).status_code == 200
    assert put(approved, expected_activation=3).status_code == 200
    assert active(approved) == (4, NEW)


def test_a_withdrawn_revision_is_not_activated_and_not_gone_back_to(approved: Shop) -> None:
    assert put(approved, expected_activation=1).status_code == 200
    withdrawal = {"whole": True, "reason": "wrong unit"}
    done = approved.post(f"/v1/revisions/{OLD}/withdrawals", withdrawal, "boss")
    assert done.status_code == 201
    problem = refused(put(approved, OLD, expected_activation=2), 409, "conflict")
    assert "withdrawn" in problem["detail"]


def test_an_active_revision_that_was_withdrawn_gives_way_to_another(approved: Shop) -> None:
    withdrawal = {"whole": True, "reason": "wrong unit"}
    active = approved.get("/v1/active").json()["revision"]
    path = f"/v1/revisions/{active}/withdrawals"
    assert approved.post(path, withdrawal, "boss").status_code == 201
    assert put(approved, expected_activation=1).status_code == 200


@pytest.mark.parametrize("by", ["number", "tag"])
def test_of_two_offices_at_once_one_wins_and_the_other_loses_nothing(
    by: str, prepared: Prepared, folder: Any
) -> None:
    rounds = 8
    with opened(folder, prepared.keys) as one, opened(folder, prepared.keys) as other:
        rival = revised(4)
        digest = proposed(one.store, rival)
        for number, revision in enumerate((NEW, rival.id)):
            wanted = prepared.revised if revision == NEW else digest
            assert one.approve(revision, wanted).status_code == 201, number
        for turn in range(rounds):
            n, _ = active(one)
            say: dict[str, Any] = (
                {"expected_activation": n} if by == "number" else {"tags": etag(one)}
            )
            first, second = race(
                partial(put, one, NEW, **say),
                partial(put, other, rival.id, **say),
            )
            assert min(first.status_code, second.status_code) == 200, turn
            assert max(first.status_code, second.status_code) in {409, 412}
            won = NEW if first.status_code == 200 else rival.id
            assert active(one) == active(other) == (n + 1, won)
            # The loser's revision and approval are there still: back, and it can be tried again.
            lost = rival.id if won == NEW else NEW
            assert put(one, OLD, expected_activation=n + 1).status_code == 200
            assert put(other, lost, expected_activation=n + 2).status_code == 200
            assert put(one, OLD, expected_activation=n + 3).status_code == 200
        assert one.faults() == ()


def race(*steps: Callable[[], httpx.Response]) -> tuple[httpx.Response, ...]:
    """Answers to requests that are sent at the same time."""
    answers: dict[int, httpx.Response] = {}
    start = threading.Barrier(len(steps))

    def run(number: int, step: Callable[[], httpx.Response]) -> None:
        start.wait()
        answers[number] = step()

    threads = [threading.Thread(target=run, args=each) for each in enumerate(steps)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return tuple(answers[number] for number in range(len(steps)))


def test_the_tag_is_that_of_the_activation_and_changes_with_it(approved: Shop) -> None:
    tag = etag(approved)
    same = approved.get("/v1/active", headers={"If-None-Match": tag})
    assert (same.status_code, same.content, same.headers["etag"]) == (304, b"", tag)
    assert put(approved, tags=tag).status_code == 200
    new = approved.get("/v1/active", headers={"If-None-Match": tag})
    assert (new.status_code, new.headers["etag"] == tag) == (200, False)


@pytest.mark.parametrize("coding", ["identity", "gzip", "zstd"])
def test_an_activation_is_named_by_its_tag_in_any_coding(coding: str, approved: Shop) -> None:
    long = "from Monday on, " * 100  # so that it is coded
    assert put(approved, expected_activation=1, note=long).status_code == 200
    tags = {
        each: str(approved.get("/v1/active", headers={"Accept-Encoding": each}).headers["etag"])
        for each in ("identity", "gzip", "zstd")
    }
    assert len(set(tags.values())) == 3
    refused(put(approved, OLD, tags=tags["gzip"].replace("-gzip", "-br")), 412, "changed")
    several = f'"{64 * "0"}", {tags[coding]}'
    assert [told for told in (tags[coding], several) if not re.search(DESCRIBED, told)] == []
    assert put(approved, OLD, tags=several).status_code == 200
    for tag in tags.values():  # of the one after it none is the tag
        refused(put(approved, tags=tag), 412, "changed")


def test_there_is_no_report_on_what_is_active(shop: Shop) -> None:
    steps = shop.audit()
    for path in (f"/v1/revisions/{OLD}/report", "/v1/revisions/current/report.json"):
        refused(shop.get(path), 409, "conflict")
    assert shop.audit() == steps
