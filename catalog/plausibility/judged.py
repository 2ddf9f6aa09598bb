"""Every judgement over whole tables, one after the other."""

from catalog.plausibility.bands import band_doubts
from catalog.plausibility.changes import change_doubts
from catalog.plausibility.doubt import Doubt, in_order
from catalog.plausibility.folding import folded
from catalog.plausibility.lines import line_doubts
from catalog.plausibility.lost import lost_doubts
from catalog.plausibility.relations import relation_doubts
from catalog.plausibility.targets import target_doubts
from catalog.revision import Revision


def judged(revision: Revision, before: Revision | None) -> tuple[Doubt, ...]:
    """Doubts of `catalog.plausibility.doubts_of`."""
    found = [*target_doubts(revision), *band_doubts(revision)]
    named = {(ref, each.column) for each in found for ref in each.rows}
    found += line_doubts(revision, named)
    found += relation_doubts(revision)
    if before is not None:
        found += change_doubts(revision, before)
        found += lost_doubts(revision, before)
    return in_order(folded(found))
