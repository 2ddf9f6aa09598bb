"""The four questions: each decoded strictly, answered from one index, encoded; and their words."""

from typing import Any, Final, TypeVar

from litestar import get
from msgspec import UNSET, UnsetType, structs

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
from catalog.answers.vocabulary import VocabularyAnswer, vocabulary
from catalog.index import Index
from catalog.questions import (
    PressTargetQuestion,
    Received,
    SetupCheckQuestion,
    ToolingPickQuestion,
    TubeRatingQuestion,
)
from service.edge.decoding import StrictRequest
from service.edge.question import Parts, Question
from service.routes.asking import index_of, received_of, refuse_outdated
from service.routes.batches import Items, in_turns

Dated = TypeVar("Dated", PressTargetQuestion, ToolingPickQuestion, SetupCheckQuestion)

_ASKING: Final[dict[str, Any]] = {
    "scope": "read",
    "problems": ("revision-not-found", "store-failed", "store-damaged"),
}


@Question("/v1/press-targets", operation_id="press_target", opt=_ASKING)
async def ask_press_target(data: PressTargetQuestion, request: StrictRequest) -> PressTargetAnswer:
    """How far is this ring pressed?

    With press and gauge the answer has the dial window and the mark to stop at, without them the
    force. It judges the pressing alone.
    """
    index = await _index(request, data.revision)
    received = received_of(request)
    return press_target(index, dated(data, received), received=received)


@Question(
    "/v1/tooling-picks",
    operation_id="tooling_pick",
    opt={**_ASKING, "answers": ToolingPickAnswer},
)
async def ask_tooling_pick(data: ToolingPickQuestion, request: StrictRequest) -> Parts:
    """Which cone, plate, press and gauge does each line of a work order need?

    One revision answers all items; each has a verdict of its own.
    """
    index = await _index(request, data.revision)
    received = received_of(request)
    question = dated(data, received)
    batch, encoded = Batch(index, question, received), Items()
    async for item in in_turns(data.items):
        encoded.add(batch.item(item))
    return encoded.answered(batch.answer(()), "items")


@Question("/v1/setup-checks", operation_id="setup_check", opt=_ASKING)
async def ask_setup_check(data: SetupCheckQuestion, request: StrictRequest) -> SetupCheckAnswer:
    """Is this setup right?

    Any part of it may be left out, in any order: the answer says what is wrong, what is still
    unknown, which fields to state next, and the press target once it is known.
    """
    index = await _index(request, data.revision)
    received = received_of(request)
    return setup_check(index, dated(data, received), received=received)


@Question("/v1/tube-ratings", operation_id="tube_rating", opt=_ASKING)
async def ask_tube_rating(data: TubeRatingQuestion, request: StrictRequest) -> TubeRatingAnswer:
    """What pressure does this tube carry, by each method asked?

    By a grade of the catalog, or by an allowable stress that the question gives.
    """
    index = await _index(request, data.revision)
    return tube_rating(index, data, received=received_of(request))


@get("/v1/vocabulary", operation_id="vocabulary", tags=["questions"], opt={"scope": "read"})
async def read_vocabulary(request: StrictRequest) -> VocabularyAnswer:
    """Every code, enum and unit of the contract, and every id of the revision.

    With it an app fills its lists, and says in words what a code means.
    """
    return vocabulary(request.index)


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
