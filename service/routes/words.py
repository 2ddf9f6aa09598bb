"""Words that several requests share: notes, digests, names of revisions."""

from typing import Annotated, Final

from msgspec import Meta

from catalog.wanted import NOT_BLANK, about
from service.store.records import WHY

NOTE_LETTERS: Final = 2000

Note = Annotated[str, Meta(min_length=1, max_length=NOTE_LETTERS, pattern=NOT_BLANK), about(WHY)]
Digest = Annotated[str, Meta(pattern="^sha256:[0-9a-f]{64}$")]
RevisionName = Annotated[str, Meta(pattern="^(current|sha256:[0-9a-f]{64})$")]
