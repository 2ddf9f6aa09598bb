"""The targets judged as a whole: slides, swaps, order, rows that stand out, levels, ratios."""

import numpy as np
from msgspec import structs

from catalog.plausibility.ceilings import ceiling_doubts, tolerance_doubts
from catalog.plausibility.doubt import Doubt
from catalog.plausibility.forces import forces_of
from catalog.plausibility.levels import line_load_doubts, ratio_doubts
from catalog.plausibility.order import order_doubts, pairs_of
from catalog.plausibility.outliers import GROSS, outlier_doubts, swapped_rows
from catalog.plausibility.shifts import orders_of
from catalog.plausibility.slid import slid_forces
from catalog.revision import Revision


def target_doubts(revision: Revision) -> list[Doubt]:
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
