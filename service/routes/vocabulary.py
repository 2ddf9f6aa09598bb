"""Every word of the contract."""

from litestar import get

from catalog.answers.vocabulary import VocabularyAnswer, vocabulary
from service.edge.decoding import StrictRequest


@get("/v1/vocabulary", operation_id="vocabulary", tags=["questions"], opt={"scope": "read"})
async def read_vocabulary(request: StrictRequest) -> VocabularyAnswer:
    """Every code, enum and unit of the contract, and every id of the revision.

    With it an app fills its lists, and says in words what a code means.
    """
    return vocabulary(request.index)
