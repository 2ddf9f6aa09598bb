"""The four questions: each decoded strictly, answered from one index, encoded."""

import asyncio
from typing import Any, Final, TypeVar

from litestar import post
from litestar.params import JSONBody
from msgspec import UNSET, Raw, UnsetType, json, structs

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.shapes import (
    PressTargetAnswer,
    SetupCheckAnswer,
    ToolingPickAnswer,
    TubeRatingAnswer,
)
from catalog.answers.tooling_pick import Batch
from catalog.answers.tube_rating import tube_rating
from catalog.index import Index
from catalog.questions import (
    PressTargetQuestion,
    Received,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from service.edge.decoding import StrictRequest
from service.routes.asking import index_of, received_of, refuse_outdated

Dated = TypeVar("Dated", PressTargetQuestion, ToolingPickQuestion, SetupCheckQuestion)

_ASKING: Final[dict[str, Any]] = {
    "scope": "read",
    "problems": ("revision-not-found", "store-failed", "store-damaged"),
}
ITEMS_AT_ONCE: Final = 25
"""Items of a batch between two turns of the other requests."""


@post(
    "/v1/press-targets",
    operation_id="press_target",
    tags=["questions"],
    status_code=200,
    opt=_ASKING,
)
async def ask_press_target(
    data: JSONBody[PressTargetQuestion], request: StrictRequest
) -> PressTargetAnswer:
    """How far is this ring pressed?

    With press and gauge the answer has the dial window and the mark to stop at, without them the
    force. It judges the pressing alone.
    """
    index = await _index(request, data.revision)
    received = received_of(request)
    return press_target(index, dated(data, received), received=received)


@post(
    "/v1/tooling-picks",
    operation_id="tooling_pick",
    tags=["questions"],
    status_code=200,
    opt=_ASKING,
)
async def ask_tooling_pick(
    data: JSONBody[ToolingPickQuestion], request: StrictRequest
) -> ToolingPickAnswer:
    """Which cone, plate, press and gauge does each line of a work order need?

    One revision answers all items; each has a verdict of its own.
    """
    index = await _index(request, data.revision)
    received = received_of(request)
    question = dated(data, received)
    batch = Batch(index, question, received)
    encoded: list[Any] = []
    for number, item in enumerate(data.items, start=1):
        # Encoded here and not with the whole: ten megabytes at once would stop everybody else.
        encoded.append(Raw(json.encode(batch.item(item))))
        if number % ITEMS_AT_ONCE == 0:
            await asyncio.sleep(0)
    # The items are JSON already, of the very bytes that the type would give.
    return batch.answer(tuple(encoded))


@post(
    "/v1/setup-checks", operation_id="setup_check", tags=["questions"], status_code=200, opt=_ASKING
)
async def ask_setup_check(
    data: JSONBody[SetupCheckQuestion], request: StrictRequest
) -> SetupCheckAnswer:
    """Is this setup right?

    Any part of it may be left out, in any order: the answer says what is wrong, what is still
    unknown, which fields to state next, and the press target once it is known.
    """
    index = await _index(request, data.revision)
    received = received_of(request)
    return setup_check(index, dated(data, received), received=received)


@post(
    "/v1/tube-ratings", operation_id="tube_rating", tags=["questions"], status_code=200, opt=_ASKING
)
async def ask_tube_rating(
    data: JSONBody[TubeRatingQuestion], request: StrictRequest
) -> TubeRatingAnswer:
    """What pressure does this tube carry, by each method asked?

    By a grade of the catalog, or by an allowable stress that the question gives.
    """
    index = await _index(request, data.revision)
    return tube_rating(index, data, received=received_of(request))


async def _index(request: StrictRequest, pinned: str | UnsetType) -> Index:
    """Index that a request is answered from: the active one, or that which the question pins."""
    refuse_outdated(request)
    if pinned is UNSET or pinned == request.index.revision:
        return request.index
    index = await index_of(request, pinned)
    request.answer_from(index)
    return index


def dated(question: Dated, received: Received) -> Dated:
    """Question with the day that it is asked for: that of the service unless it gives another."""
    return question if question.on is not UNSET else structs.replace(question, on=received.on)
