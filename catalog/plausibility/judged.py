"""Every judgement over whole tables, one after the other; that of the targets is made of many."""

import numpy as np
from msgspec import structs

from catalog.plausibility.bands import band_doubts
from catalog.plausibility.ceilings import ceiling_doubts, tolerance_doubts
from catalog.plausibility.changes import change_doubts
from catalog.plausibility.doubt import Doubt, in_order
from catalog.plausibility.folding import folded
from catalog.plausibility.forces import forces_of
from catalog.plausibility.levels import line_load_doubts, ratio_doubts
from catalog.plausibility.lines import line_doubts
from catalog.plausibility.lost import lost_doubts
from catalog.plausibility.order import order_doubts, pairs_of
from catalog.plausibility.outliers import GROSS, outlier_doubts, swapped_rows
from catalog.plausibility.relations import relation_doubts
from catalog.plausibility.shifts import orders_of
from catalog.plausibility.slid import slid_forces
from catalog.revision import Revision


def judged(revision: Revision, before: Revision | None) -> tuple[Doubt, ...]:
    """Doubts of `catalog.plausibility.doubts_of`."""
    found = [*_target_doubts(revision), *band_doubts(revision)]
    named = {(ref, each.column) for each in found for ref in each.rows}
    found += line_doubts(revision, named)
    found += relation_doubts(revision)
    if before is not None:
        found += change_doubts(revision, before)
        found += lost_doubts(revision, before)
    return in_order(folded(found))


def _target_doubts(revision: Revision) -> list[Doubt]:
    """Every doubt about the targets that needs no other revision.

    What one doubt explains is put right before the next is looked for, so that one slip is told
    once, and another beneath it is still seen.
    """
    forces = forces_of(revision)
    if not forces.rows:
        return []
    orders, pairs = orders_of(forces.rows), pairs_of(forces, revision)
    slid = slid_forces(forces, orders, pairs)
    judged = slid.judged
    # A force is told of the row in which it stands, also where it slid there from another.
    seen = structs.replace(forces, rows=tuple(forces.rows[n] for n in slid.stands))
    swaps, swapped, force = swapped_rows(seen, slid.force, judged)
    off = np.abs(judged.off)
    gross = {int(n) for n in np.flatnonzero(judged.is_off & (off > GROSS))} - swapped
    falls, blamed = order_doubts(seen, force, judged, pairs, gross)
    outliers, standing_out = outlier_doubts(seen, slid.force, judged, swapped | blamed)
    explained = standing_out | swapped | slid.rows
    right = force.copy()
    for at in standing_out:
        right[at] -= judged.off[at]
    return [
        *slid.doubts,
        *swaps,
        *falls,
        *outliers,
        *line_load_doubts(forces, explained),
        *ratio_doubts(forces, right),
        *ceiling_doubts(forces, right, orders),
        *tolerance_doubts(forces, orders),
    ]
