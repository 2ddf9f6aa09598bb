"""Every word of the contract."""

from litestar import get
from litestar.datastructures import State

from catalog.answers.vocabulary import VocabularyAnswer, vocabulary


@get("/v1/vocabulary", operation_id="vocabulary")
async def read_vocabulary(state: State) -> VocabularyAnswer:
    """Every code, enum and unit of the contract, and every id of the revision."""
    return vocabulary(state.current.index)
