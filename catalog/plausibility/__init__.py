"""Judgement over whole tables of a proposed revision: what looks wrong before anyone presses."""

from catalog.plausibility.bands import band_doubts
from catalog.plausibility.changes import change_doubts
from catalog.plausibility.doubt import Doubt, DoubtKind, Weight, in_order
from catalog.plausibility.folding import folded
from catalog.plausibility.lines import line_doubts
from catalog.plausibility.lost import lost_doubts
from catalog.plausibility.relations import relation_doubts
from catalog.plausibility.targets import target_doubts
from catalog.revision import Revision

__all__ = ["Doubt", "DoubtKind", "Weight", "doubts_of"]


def doubts_of(revision: Revision, before: Revision | None = None) -> tuple[Doubt, ...]:
    """Everything in the tables that looks wrong, strong doubts first, then by id.

    `before` is the revision that is active now: only it, and the absolute bands, can see a factor
    that a whole table shares.
    """
    found = [*target_doubts(revision), *band_doubts(revision)]
    named = {(ref, each.column) for each in found for ref in each.rows}
    found += line_doubts(revision, named)
    found += relation_doubts(revision)
    if before is not None:
        found += change_doubts(revision, before)
        found += lost_doubts(revision, before)
    return in_order(folded(found))
