"""A column that slid by a row, in any of the orders in which an office keeps its targets."""

from collections import defaultdict
from collections.abc import Callable, Sequence
from typing import Any, Final

import numpy as np
from msgspec import Struct

from catalog.plausibility.doubt import Doubt, doubt
from catalog.plausibility.fit import Codes, Numbers
from catalog.plausibility.forces import tube_of
from catalog.rows import Target

_MOST_OFF: Final = 0.7  # log; beyond a factor of two a row is not more wrong for being more off


_FEWEST: Final = 3  # rows that must be plainly off: two are a swap
_LONG: Final = 9


class Order(Struct, frozen=True, kw_only=True):
    """An order of the rows of a file, as runs between which nothing slides."""

    name: str
    runs: tuple[Codes, ...]


class Window(Struct, frozen=True, kw_only=True):
    """Rows next to each other that each hold what their neighbour should."""

    order: str
    by: int
    rows: Codes
    neighbours: Codes
    gain: float


Key = Callable[[Target], tuple[Any, ...]]


def _tube(row: Target) -> str:
    return tube_of(row.family, row.grade)


def _ends(row: Target) -> tuple[str, str]:
    return row.ring or "", row.insert


_ORDERS: Final[tuple[tuple[str, Key, Key], ...]] = (
    (
        "by series, style, family and grade, od and wall",
        lambda r: (r.series, r.ring_style, _tube(r)),
        lambda r: (r.od_mm, r.wall_min_mm, *_ends(r)),
    ),
    (
        "by series, style, family, od, wall and grade",
        lambda r: (r.series, r.ring_style, r.family),
        lambda r: (r.od_mm, r.wall_min_mm, r.grade or "", *_ends(r)),
    ),
    (
        "by series, od, wall, family and grade, and style",
        lambda r: (r.series,),
        lambda r: (r.od_mm, r.wall_min_mm, _tube(r), r.ring_style, *_ends(r)),
    ),
    (
        "by series, od, family and grade, style and wall",
        lambda r: (r.series,),
        lambda r: (r.od_mm, _tube(r), r.ring_style, r.wall_min_mm, *_ends(r)),
    ),
    (
        "by style, series, od, wall, family and grade",
        lambda r: (r.series, r.ring_style),
        lambda r: (r.od_mm, r.wall_min_mm, _tube(r), *_ends(r)),
    ),
)


def orders_of(rows: tuple[Target, ...]) -> tuple[Order, ...]:
    """The orders that a file of targets may have been in; a revision keeps none."""
    told = []
    for name, run, within in _ORDERS:
        runs: dict[tuple[Any, ...], list[int]] = defaultdict(list)
        for at, row in enumerate(rows):
            runs[run(row)].append(at)
        ordered = (sorted(ats, key=lambda at: (within(rows[at]), at)) for ats in runs.values())
        told.append(Order(name=name, runs=tuple(np.array(ats, dtype=np.intp) for ats in ordered)))
    return tuple(told)


def shifted(
    rows: Sequence[Target], ats: Sequence[int], column: str, what: str, order: str, by: int
) -> Doubt:
    """Doubt about a stretch of a column, whose cells are named by `what` they hold."""
    first, last = rows[ats[0]].ref, rows[ats[-1]].ref
    return doubt(
        "column-shifted",
        "strong",
        (rows[n].ref for n in ats),
        column,
        f"{len(ats)} {what} from `{first}` to `{last}` fit the row "
        f"{'before' if by > 0 else 'after'} them (rows {order}): the column looks shifted by a row",
        "compare this stretch of the column with its source, row by row, and enter it again",
        about=f"{first}..{last}",
    )


def slid_back(value: Numbers, order: Order, by: int) -> Numbers:
    """Column with every value put back by a row; a row that is left without one is not a number."""
    back = np.full(len(value), np.nan)
    for run in order.runs:
        if by > 0:
            back[run[:-1]] = value[run[1:]]
        else:
            back[run[1:]] = value[run[:-1]]
    return back


def windows_of(
    value: Numbers, expected: Numbers, off_from: Numbers, slack: Numbers, orders: tuple[Order, ...]
) -> list[Window]:
    """Stretches in which each value is its neighbour's, the surest first, none over another.

    A row speaks for a stretch by how much less it is off from what its neighbour should have than
    from what itself should have; the stretch is the one of the greatest sum.
    """
    found = [
        window
        for order in orders
        for by in (1, -1)
        for run in order.runs
        for window in _in_run(value, expected, off_from, slack, order.name, by, run)
    ]
    found.sort(key=lambda w: (-w.gain, w.order, w.by, int(w.rows[0])))
    taken: set[int] = set()
    told = []
    for window in found:
        if taken.isdisjoint(window.rows.tolist()):
            taken |= set(window.rows.tolist())
            told.append(window)
    return told


def _in_run(
    value: Numbers,
    expected: Numbers,
    off_from: Numbers,
    slack: Numbers,
    name: str,
    by: int,
    run: Codes,
) -> list[Window]:
    if len(run) < _FEWEST or not (np.abs(value - expected)[run] > off_from[run]).sum() >= _FEWEST:
        return []
    beside = np.roll(run, by)  # the row before, when values slid down
    own, theirs = value[run] - expected[run], value[run] - expected[beside]
    told = []
    for levelled in (False, True) if len(run) >= _LONG else (False,):
        # A fit gives a group that slid as a whole a level that is off by half a step.
        off = _off(own, levelled=levelled)
        left = _off(theirs, levelled=levelled)
        gain = off - left - 0.25 * slack[run]
        gain[0 if by > 0 else -1] = -_MOST_OFF  # nothing slides in from the other end
        for start, stop in _stretches(gain):
            if levelled and stop - start < 0.7 * len(run):
                continue
            at = run[start:stop]
            settled = left[start:stop] <= slack[at]
            plainly_off = (off[start:stop] > off_from[at]) & settled
            explained = off[start:stop].sum() >= 3 * left[start:stop].sum()
            if plainly_off.sum() >= _FEWEST and settled.mean() >= 0.75 and explained:
                sure = float(gain[start:stop].sum())
                rows = beside[start:stop]
                told.append(Window(order=name, by=by, rows=at, neighbours=rows, gain=sure))
    return told


def _off(difference: Numbers, *, levelled: bool) -> Numbers:
    level = float(np.median(difference)) if levelled else 0.0
    away: Numbers = np.minimum(np.abs(difference - level), _MOST_OFF)
    return away


def _stretches(gain: Numbers) -> list[tuple[int, int]]:
    """Stretches of the greatest sum, from one fall below nothing to the next."""
    told = []
    total, best, start, stop = 0.0, 0.0, 0, 0
    for n, each in enumerate([*gain.tolist(), -np.inf]):
        total += each
        if total > best:
            best, stop = total, n + 1
        # Far below its top the stretch has ended, and another may begin.
        if total <= 0 or total < best - _MOST_OFF / 2:
            if best > 0:
                told.append((start, stop))
            total, best, start, stop = 0.0, 0.0, n + 1, n + 1
    return told
