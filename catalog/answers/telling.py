"""What may stand beside the findings of an answer: numbers of the dial, forces, ratings, nothing.

INVARIANT: a number to press to never stands beside anything that forbids pressing.
"""

from collections.abc import Collection
from typing import Final, Literal

from catalog.findings import CODES
from catalog.rules.raised import Raised

Telling = Literal["dial", "forces", "ratings", "limits", "nothing"]
"""`dial`: everything; `forces`: nothing that is read off a dial; `ratings`: no forces either, for a
rating that refuses; `limits`: only those that findings name; `nothing`: not even those, for an
answer that rests on what was withdrawn."""

CONTACT: Final = "/contact_reading"
"""Field of a contact that was reached: by how much it is off is told where nothing else refuses."""
NO_RATING: Final[frozenset[Telling]] = frozenset({"limits", "nothing"})
"""Where the rating of the assembly is not told either."""

_READING_CODES: Final = frozenset(
    {
        "press.reading-missing",
        "press.reading-unit",
        "press.outside-window",
        "press.above-ceiling",
    }
)
_RATING_CODES: Final = frozenset(
    {
        "service.over-tube-rating",
        "service.over-fitting-rating",
        "service.over-seal-rating",
        "service.over-other-end",
        "tube.yield-margin",
    }
)


def telling_of(raised: Collection[Raised]) -> Telling:
    """What may be told beside these findings.

    Where the intended reading is all that is missing, or is off by these codes alone, the mark is
    what is asked for.
    """
    against = _against(raised)
    if any(each.code == "revision.withdrawn" for each in against):
        return "nothing"
    if all(each.code in _READING_CODES and each.at == "/intended_reading" for each in against):
        return "dial"
    if all(CODES[each.code].severity != "reject" for each in against):
        # The force belongs to a ring set, and of one that is not known there is none.
        ring_unknown = any(each.code == "fitting.ring-unknown" for each in against)
        return "ratings" if ring_unknown else "forces"
    return "ratings" if any(each.code in _RATING_CODES for each in against) else "limits"


def is_contact_alone(raised: Collection[Raised]) -> bool:
    """Whether a contact that was reached is all that refuses, or leaves it open."""
    return all(each.at == CONTACT for each in _against(raised))


def _against(raised: Collection[Raised]) -> list[Raised]:
    return [each for each in raised if CODES[each.code].severity in {"reject", "unknown"}]
