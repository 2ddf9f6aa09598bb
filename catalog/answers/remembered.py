"""What is remembered by row, so that it can be let go with the revision that the rows belong to."""

from catalog.answers.picking import tried_pairs
from catalog.answers.pressing import press_target_of
from catalog.setup.pressing import forces, pressing


def forget() -> None:
    """Let go of all that is remembered: rows of a replaced revision would be kept alive by it."""
    for remembered in (forces, pressing, press_target_of, tried_pairs):
        remembered.cache_clear()
