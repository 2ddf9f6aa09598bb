"""The four questions over HTTP: what the catalog answers, and every refusal as it was recorded."""

import base64
import hashlib
import json
from typing import Any

import msgspec
import pytest
from msgspec import UNSET, structs

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.answers.tube_rating import tube_rating
from catalog.questions import (
    PressTargetQuestion,
    Received,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from catalog.seed import shipped_index
from catalog.terms import RULES_VERSION
from service.edge.wrapper import Wrapper
from tests.service.edge.questioned import JSON, REFUSED, Sent, answering, ask, refused, right
from tests.service.serving import DAY

ANSWERING: dict[str, tuple[type[Any], Any]] = {
    "/v1/press-targets": (PressTargetQuestion, press_target),
    "/v1/tooling-picks": (ToolingPickQuestion, tooling_pick),
    "/v1/setup-checks": (SetupCheckQuestion, setup_check),
    "/v1/tube-ratings": (TubeRatingQuestion, tube_rating),
}


@pytest.fixture(scope="module")
def app() -> Wrapper:
    return answering()


def test_every_refusal_is_the_recorded_one() -> None:
    recorded = json.loads(REFUSED.read_bytes())
    told = refused()
    assert told.keys() == recorded.keys()
    for name, answer in told.items():
        assert answer == recorded[name], name


def test_every_answer_is_that_of_the_catalog_and_no_header_is_missing(app: Wrapper) -> None:
    index, received = shipped_index(), Received(on=DAY)
    asked = 0
    for path, body in right():
        kind, answer = ANSWERING[path]
        question = msgspec.convert(body, kind)
        if getattr(question, "on", None) is UNSET:
            question = structs.replace(question, on=DAY)
        expected = msgspec.json.encode(answer(index, question, received=received))
        answered = ask(app, Sent(path, (msgspec.json.encode(body),)))
        assert (answered.status, answered.body) == (200, expected)
        digest = base64.b64encode(hashlib.sha256(expected).digest())
        assert answered.headers[:-5] == [
            JSON,
            (b"cache-control", b"no-store"),
            (b"vary", b"Accept-Encoding"),
            (b"content-length", str(len(expected)).encode()),
            (b"content-digest", b"sha-256=:" + digest + b":"),
            (b"catalog-revision", index.revision.encode()),
            (b"ringwright-rules", RULES_VERSION.encode()),
            (b"x-request-id", b"asked"),
        ]
        asked += 1
    assert asked > 200
