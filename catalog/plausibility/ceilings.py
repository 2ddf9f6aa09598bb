"""Ceilings against forces, and tolerances against those of the same size."""

from collections import defaultdict
from collections.abc import Hashable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from catalog.plausibility.doubt import Doubt, doubt
from catalog.plausibility.fit import Numbers, usual_scale
from catalog.plausibility.forces import ROUNDING, Forces, number
from catalog.plausibility.naming import slip_of
from catalog.plausibility.shifts import Order, shifted, slid_back, windows_of
from catalog.quantities import size_key
from catalog.rows import number_text

_CEILING_WEAK: Final = float(np.log(1.04))
_CEILING_STRONG: Final = float(np.log(1.10))
# A ceiling of twice the force guards nothing: own judgement, as the bounds of the tolerance are.
_MOST_CEILING: Final = 2.0
_TOLERANCE: Final = (2.0, 25.0)
_TOLERANCE_STRONG: Final = float(np.log(1.5))
_FEW: Final = 6  # rows of one size and finish that a slide may have made wrong together


def ceiling_doubts(forces: Forces, right: Numbers, orders: tuple[Order, ...]) -> list[Doubt]:
    """Ceilings that stand in another ratio to their force than the others do.

    `right` are the forces with what is doubted of them put right: a ceiling that fits either is
    no doubt of its own.
    """
    rows = forces.rows
    ceiling = np.log([number(r.ceiling_kn) for r in rows])
    told: list[Doubt] = []
    ratio = ceiling - forces.force
    usual, scale = _usual(forces, ratio)
    # A ceiling is measured by the force as entered or put right, whichever it fits.
    fits = np.abs(ratio - usual) < np.abs(ceiling - right - usual)
    force = np.where(fits, forces.force, right)
    expected = force + usual
    told_whole = _whole(forces, ceiling, force, orders)
    if told_whole:
        return told_whole
    slack = np.maximum(3 * scale, 0.02)
    windows = windows_of(ceiling, expected, np.maximum(_CEILING_WEAK, 5 * scale), slack, orders)
    explained: set[int] = set()
    for window in windows:
        told.append(
            shifted(rows, window.rows.tolist(), "ceiling_kn", "cells", window.order, window.by)
        )
        explained |= set(window.rows.tolist())
    off = ceiling - expected
    for n in np.flatnonzero(np.abs(off) > np.maximum(_CEILING_WEAK, 5 * scale)):
        if int(n) in explained:
            continue
        row = rows[n]
        strong = abs(off[n]) > max(_CEILING_STRONG, 6 * scale[n])
        kind, looks = slip_of(float(np.exp(off[n])), "force", max(0.05, 3 * float(scale[n])))
        told.append(
            doubt(
                "ratio" if kind == "out-of-line" else kind,
                "strong" if strong else "weak",
                [row.ref],
                "ceiling_kn",
                f"ceiling {number_text(row.ceiling_kn)} kN is {np.exp(ratio[n]):.3g} times the "
                f"force of {number_text(row.force_kn)} kN, elsewhere it is "
                f"{np.exp(usual[n]):.3g} times: {looks}",
                "compare force and ceiling with their source and correct the wrong one",
            )
        )
    return told + _too_high(forces, ratio)


def _too_high(forces: Forces, ratio: Numbers) -> list[Doubt]:
    ats = np.flatnonzero(ratio > np.log(_MOST_CEILING))
    if len(ats) == 0:
        return []
    worst = int(ats[np.argmax(ratio[ats])])
    return [
        doubt(
            "out-of-band",
            "strong",
            (forces.rows[n].ref for n in ats),
            "ceiling_kn",
            f"ceilings above {_MOST_CEILING:g} times their force: {len(ats)}, the highest "
            f"{np.exp(ratio[worst]):.3g} times in `{forces.rows[worst].ref}`: so high a ceiling "
            "guards nothing",
            "compare with the source and lower the ceiling, or give the reason",
            about="targets/high",
        )
    ]


def _usual(forces: Forces, ratio: Numbers) -> tuple[Numbers, Numbers]:
    found: dict[Hashable, list[int]] = defaultdict(list)
    for n, row in enumerate(forces.rows):
        found[row.finish].append(n)
    usual, scale = np.zeros(len(ratio)), np.zeros(len(ratio))
    for ats in found.values():
        usual[ats] = np.median(ratio[ats])
        scale[ats] = usual_scale(ratio[ats] - usual[ats], ROUNDING)
    return usual, scale


def _whole(
    forces: Forces, ceiling: Numbers, force: Numbers, orders: tuple[Order, ...]
) -> list[Doubt]:
    now = _spread(ceiling - force)
    if now < 0.03:
        return []
    best: tuple[float, Order, int] | None = None
    for order in orders:
        for by in (1, -1):
            back = slid_back(ceiling, order, by) - force
            spread = _spread(back[np.isfinite(back)])
            if spread < 0.3 * now and (best is None or spread < best[0]):
                best = (spread, order, by)
    if best is None:
        return []
    _, order, by = best
    return [shifted(forces.rows, range(len(force)), "ceiling_kn", "cells", order.name, by)]


def _spread(ratio: Numbers) -> float:
    if not len(ratio):
        return 0.0
    low, high = np.quantile(ratio, [0.15, 0.85])
    return float(high - low)


def tolerance_doubts(forces: Forces, orders: tuple[Order, ...]) -> list[Doubt]:
    """Tolerances unlike the others of their size and finish, or beyond what a bench can hold."""
    rows = forces.rows
    tolerance = np.log([number(r.tolerance_percent) for r in rows])
    found: dict[Hashable, list[int]] = defaultdict(list)
    for n, (row, system) in enumerate(zip(rows, forces.system, strict=True)):
        found[system, size_key(row.od_mm), row.finish].append(n)
    expected = tolerance.copy()
    few = np.zeros(len(rows), dtype=bool)
    for ats in found.values():
        few[ats] = len(ats) < _FEW
        if len(ats) >= 3:
            # The value that most rows have: two thirds that share one outvote a slid third.
            values, counts = np.unique(tolerance[ats], return_counts=True)
            if counts.max() > len(ats) / 2:
                expected[ats] = values[counts.argmax()]
    unlike = np.abs(tolerance - expected) > 0.01
    told = _slid_tolerance(forces, tolerance, expected, few, orders) if unlike.sum() >= 3 else []
    explained = {ref for each in told for ref in each.rows}
    for at in np.flatnonzero(unlike):
        n = int(at)
        row = rows[n]
        if row.ref in explained:
            continue
        strong = abs(tolerance[n] - expected[n]) > _TOLERANCE_STRONG
        told.append(
            doubt(
                "ratio",
                "strong" if strong else "weak",
                [row.ref],
                "tolerance_percent",
                f"tolerance {number_text(row.tolerance_percent)} %, but most rows of this od and "
                f"finish have {np.exp(expected[n]):.3g} %",
                "compare with the source and correct the tolerance, or give the reason",
            )
        )
    low, high = _TOLERANCE
    beyond = [r for r in rows if not low <= r.tolerance_percent <= high]
    if beyond:
        worst = max(beyond, key=lambda r: abs(np.log(number(r.tolerance_percent) / low)))
        told.append(
            doubt(
                "out-of-band",
                "strong",
                (r.ref for r in beyond),
                "tolerance_percent",
                f"{len(beyond)} tolerances are outside {low:g} to {high:g} %, such as "
                f"{number_text(worst.tolerance_percent)} % in `{worst.ref}`: is it percent?",
                "compare with the source and correct the tolerance, or give the reason",
                about="targets/band",
            )
        )
    return told


def _slid_tolerance(
    forces: Forces,
    tolerance: Numbers,
    expected: Numbers,
    few: NDArray[np.bool_],
    orders: tuple[Order, ...],
) -> list[Doubt]:
    """A slid tolerance shows only where the tolerance changes, in every run at the same place."""
    for order in orders:
        for by in (1, -1):
            slid: list[int] = []
            shown = 0
            for run in order.runs:
                unlike = np.abs(tolerance[run] - expected[run]) > 0.01
                beside = np.roll(run, by)
                # What a neighbour had that stands nearly alone is not known: any value may be its.
                theirs = (np.abs(tolerance[run] - expected[beside]) <= 0.01) | few[beside]
                theirs[0 if by > 0 else -1] = True
                if unlike.any() and theirs.all():
                    slid += run.tolist()
                    shown += int(unlike.sum())
            every = int((np.abs(tolerance - expected) > 0.01).sum())
            if shown >= 3 and shown >= 0.9 * every:
                return [
                    shifted(forces.rows, sorted(slid), "tolerance_percent", "cells", order.name, by)
                ]
    return []
