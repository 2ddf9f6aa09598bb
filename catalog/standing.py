"""What the office has since said of a revision: an input of every answer, never looked up."""

from typing import Literal

from msgspec import Struct

State = Literal["active", "superseded", "not-active-yet"]
"""Whether questions are answered from a revision, were once, or never were."""


class Withdrawn(Struct, frozen=True, kw_only=True):
    """Why no answer may rest on something any more, who said so, and on which day."""

    reason: str
    by: str
    on: str


class Standing(Struct, frozen=True, kw_only=True):
    """State of a revision, and what of it is withdrawn: all of it, or rows by their `ref`.

    `stale` where that was so when it was last read, and what is so now cannot be read.
    """

    state: State = "active"
    whole: Withdrawn | None = None
    rows: dict[str, Withdrawn] = {}
    stale: bool = False


ACTIVE = Standing()
