"""What is remembered of rows and indexes, so that it can be let go with their revision."""

from typing import Final

from catalog.answers.grounds import data_raised, finding_of
from catalog.answers.headline import how_far
from catalog.answers.picking import tried_pairs
from catalog.answers.pressing import force_steps, press_target_of, reading_steps
from catalog.rules.group import lasting
from catalog.setup.pressing import forces, pressing
from catalog.setup.tube_end import tube_end

REMEMBERED: Final = (
    tube_end,
    forces,
    pressing,
    lasting,
    tried_pairs,
    press_target_of,
    force_steps,
    reading_steps,
    how_far,
    data_raised,
    finding_of,
)


def forget() -> None:
    """Let go of all that is remembered: a revision that is replaced would be kept alive by it."""
    for each in REMEMBERED:
        each.cache_clear()
