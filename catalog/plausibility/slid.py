"""Forces put back where a column of the targets slid, and the doubts that say so."""

from typing import Final

import numpy as np
from msgspec import Struct

from catalog.plausibility.doubt import Doubt
from catalog.plausibility.fit import Codes, Numbers
from catalog.plausibility.forces import (
    LEAST_WEAK,
    Forces,
    Judged,
    codes_of,
    judged_forces,
    parts_of,
    smooth_fit,
)
from catalog.plausibility.order import Pairs, falling_share
from catalog.plausibility.shifts import Order, Window, shifted, slid_back, windows_of

_ROUGH: Final = 0.008  # log; a smoother column than this did not slide as a whole
_FALLING: Final = 0.03  # share of pairs in the wrong order from which a whole slide is looked for
_SLIPPED: Final = 0.02  # share of pairs that a few slipped rows may turn
_MOST_PASSES: Final = 3
_STEPS: Final = 6  # of a fit of which only the middle distance is wanted
_MANY: Final = 100  # rows; chance alone smooths fewer by a third
_MOST_SCOPES: Final = 12  # series; more are looked at as one
_FORCES: Final = ("force_kn", "forces")


class Slid(Struct, frozen=True, kw_only=True):
    """Forces with what slid put back, how they are judged, and what is told of it.

    `lost` are rows whose own force fell off the end of the column, `stands` is the row in which
    each force was entered.
    """

    force: Numbers
    judged: Judged
    doubts: list[Doubt]
    rows: set[int]
    lost: set[int]
    stands: Codes


def slid_forces(forces: Forces, orders: tuple[Order, ...], pairs: tuple[Pairs, ...]) -> Slid:
    """Forces with every slide put back: first of a whole column or series, then of stretches."""
    force, lost, stands, doubts = _whole(forces, orders, pairs)
    rows = {int(n) for n in np.flatnonzero(force != forces.force)}
    judged = _judged(forces, force, lost)
    for _ in range(_MOST_PASSES):
        # Where families slid within a size, a level of that size takes half of it up: the curve
        # through the whole table is asked too.
        expected, windows = _surest(force, judged, orders)
        if not windows:
            break
        entered, force = force, force.copy()
        for window in windows:
            at = window.rows
            # What a row is off from what its neighbour should have stays its own slip.
            force[at] = expected[at] + entered[at] - expected[window.neighbours]
            doubts.append(shifted(forces.rows, at.tolist(), *_FORCES, window.order, window.by))
            rows |= set(at.tolist())
        judged = _judged(forces, force, lost)
    return Slid(force=force, judged=judged, doubts=doubts, rows=rows, lost=lost, stands=stands)


def _judged(forces: Forces, force: Numbers, lost: set[int]) -> Judged:
    judged = judged_forces(forces, force)
    if lost:
        # Their own force fell off the end of the column: nothing can be said of it.
        for off in (judged.off, judged.curve):
            off[sorted(lost)] = 0.0
    return judged


def _surest(
    force: Numbers, judged: Judged, orders: tuple[Order, ...]
) -> tuple[Numbers, list[Window]]:
    found = []
    for off, scale, off_from in (
        (judged.off, judged.scale, np.where(judged.known, judged.weak, np.inf)),
        (judged.curve, judged.curve_scale, np.maximum(LEAST_WEAK, 3 * judged.curve_scale)),
    ):
        slack = np.clip(3 * scale, 0.05, 0.2)
        windows = windows_of(force, force - off, off_from, slack, orders)
        found.append((sum(w.gain for w in windows), force - off, windows))
    _, expected, windows = max(found, key=lambda each: each[0])
    return expected, windows


def _whole(
    forces: Forces, orders: tuple[Order, ...], pairs: tuple[Pairs, ...]
) -> tuple[Numbers, set[int], Codes, list[Doubt]]:
    """Series, or the table, whose column is plainly smoother with every force put back by a row."""
    slid: dict[tuple[str, int], list[Codes]] = {}
    put, lost = forces.force.copy(), set[int]()
    stands = np.arange(len(put), dtype=np.intp)
    # The longest series first: a short one may follow a slide, but shows one of its own badly.
    for scope in sorted(_scopes(forces), key=lambda at: (-len(at), int(at[0]))):
        found = _slide_of(forces, scope, orders, pairs, set(slid))
        if found is None:
            continue
        order, by, back = found
        slid.setdefault((order.name, by), []).append(scope)
        gone = scope[~np.isfinite(back[scope])]
        kept = scope[np.isfinite(back[scope])]
        put[kept] = back[kept]
        places = slid_back(np.arange(len(put), dtype=np.float64), order, by)
        stands[kept] = places[kept].astype(np.intp)
        lost |= set(gone.tolist())
    if lost:
        put[sorted(lost)] -= judged_forces(forces, put).curve[sorted(lost)]
    doubts = [
        shifted(forces.rows, sorted(np.concatenate(scopes).tolist()), *_FORCES, order, by)
        for (order, by), scopes in slid.items()
    ]
    return put, lost, stands, doubts


def _scopes(forces: Forces) -> list[Codes]:
    series = codes_of(r.series for r in forces.rows)
    if series.max() >= _MOST_SCOPES:
        return [np.arange(len(series))]
    return [np.flatnonzero(series == n) for n in range(int(series.max()) + 1)]


def _slide_of(
    forces: Forces,
    scope: Codes,
    orders: tuple[Order, ...],
    pairs: tuple[Pairs, ...],
    others: set[tuple[str, int]],
) -> tuple[Order, int, Numbers] | None:
    def of_scope(force: Numbers) -> Numbers:
        alone = np.full(len(force), np.nan)
        alone[scope] = force[scope]
        return alone

    now = of_scope(forces.force)
    rough, falling = _roughness(forces, now), falling_share(pairs, now)
    if rough < _ROUGH and falling < _FALLING:
        return None
    best: tuple[float, Order, int, Numbers] | None = None
    for order in orders:
        backs = {by: of_scope(slid_back(forces.force, order, by)) for by in (1, -1)}
        roughs = {by: _roughness(forces, back) for by, back in backs.items()}
        for by, back in backs.items():
            falling_back = falling_share(pairs, back)
            # Slid the other way it must be rougher still, unless all roughness is gone: else it is
            # the law that is rough, and not the table.
            settled = roughs[-by] > 1.5 * rough or roughs[by] < 0.35 * rough
            sure = len(scope) >= _MANY or (order.name, by) in others
            smoother = roughs[by] < (0.6 if sure else 0.4) * rough and settled
            smoother &= rough > _ROUGH and falling_back <= falling + _SLIPPED
            ordered = falling > _FALLING and falling_back < 0.2 * falling
            if smoother or (ordered and roughs[by] <= 1.1 * rough):
                score = roughs[by] / max(rough, _ROUGH) + falling_back
                if best is None or score < best[0]:
                    best = (score, order, by, back)
    return None if best is None else best[1:]


def _roughness(forces: Forces, force: Numbers) -> float:
    known = np.isfinite(force)
    off = []
    for part in parts_of(forces):
        at = part[known[part]]
        if len(at) >= 12:
            off.append(smooth_fit(forces, at, force, _STEPS).residual)
    return float(np.median(np.abs(np.concatenate(off)))) if off else 0.0
