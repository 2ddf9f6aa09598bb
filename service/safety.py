"""What anybody must know before a ring is pressed or a line gets pressure, said once.

The contract, the demonstration and the report page read it here; the pages of the checkout repeat
it, and a test holds them to it.
"""

from typing import Final

SAFETY: Final = (
    "The fitting maker's prescription, local codes and licensed people outrank every number here.",
    "Hands stay off while the ram moves, and glasses stay on.",
    "Nobody turns a nut on a line with pressure in it.",
    "A line sees low pressure first, and is looked over for leaks.",
    "Every ring is looked at after the press.",
)
