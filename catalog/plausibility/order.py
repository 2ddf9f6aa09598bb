"""A force that falls where it should rise: with od, with wall, with the strength of the family."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from statistics import median
from typing import Final, Literal

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from catalog.plausibility.doubt import Doubt, Weight, doubt
from catalog.plausibility.fit import Codes, Numbers
from catalog.plausibility.forces import Forces, Group, Judged, number, tube_of
from catalog.quantities import size_key
from catalog.revision import Revision, rows_of
from catalog.rows import Material, Target, number_text

Rising = Literal["force-falls-with-od", "force-falls-with-wall", "force-falls-with-strength"]

LEAST_FALL: Final = float(np.log(1.015))
"""A fall within what rounding to three digits makes of two equal forces is none."""
_SURE: Final = 4.5 * 2**0.5  # of the noise of one force, for the difference of two
_LIKELY: Final = 3.0 * 2**0.5
_STRONGER: Final = 1.08  # tensile strengths nearer than 8 % do not settle which force is greater
_MOSTLY: Final = 0.8  # of their pairs, from which one of two such tubes needs more
_SHARED: Final = 6  # falls of one group from which they are told once, if they are most of it
_TOGETHER: Final = 3  # rows of one size from which a doubt is told once

_MORE: Final[dict[Rising, str]] = {
    "force-falls-with-od": "a larger od",
    "force-falls-with-wall": "a thicker wall",
    "force-falls-with-strength": "a stronger tube",
}


class Pairs(Struct, frozen=True, kw_only=True):
    """Positions of rows whose force should not fall from `low` to `high`."""

    kind: Rising
    low: Codes
    high: Codes
    settled: NDArray[np.bool_]


def pairs_of(forces: Forces, revision: Revision) -> tuple[Pairs, ...]:
    """Every two rows of the targets that have an order."""
    return (
        _pairs("force-falls-with-od", _by_od(forces)),
        _pairs("force-falls-with-wall", _by_wall(forces)),
        _pairs("force-falls-with-strength", _by_strength(forces, strengths_of(revision))),
    )


def strengths_of(revision: Revision) -> dict[str, float]:
    """Tensile strength of each tube in MPa: of a grade that has rows, else of a family.

    A family is as strong as the middle of its grades that may be preset and have no rows.
    """
    graded = {row.grade for row in rows_of(revision, Target)}
    found: dict[str, list[float]] = defaultdict(list)
    for row in rows_of(revision, Material):
        if row.preset and row.tensile_mpa is not None:
            tube = tube_of(row.family, row.id if row.id in graded else None)
            found[tube].append(number(row.tensile_mpa))
    return {tube: median(values) for tube, values in found.items()}


def falling_share(pairs: tuple[Pairs, ...], force: Numbers) -> float:
    """Share of the pairs in which the force falls."""
    falls = [(force[p.high] < force[p.low] - LEAST_FALL) & p.settled for p in pairs if len(p.low)]
    return float(np.mean(np.concatenate(falls))) if falls else 0.0


def order_doubts(
    forces: Forces, force: Numbers, judged: Judged, pairs: tuple[Pairs, ...], gross: set[int]
) -> tuple[list[Doubt], set[int]]:
    """Doubts about falling forces, and the rows that a strong one blames; none of `gross`."""
    told: list[Doubt] = []
    blamed: set[int] = set()
    for each in pairs:
        fall = force[each.low] - force[each.high]
        grain = np.hypot(judged.noise[each.low], judged.noise[each.high]) / 2**0.5
        sure = (fall > np.maximum(LEAST_FALL, _SURE * grain)) & each.settled
        likely = fall > np.maximum(LEAST_FALL, _LIKELY * grain)
        found: dict[int, list[tuple[int, float, bool]]] = defaultdict(list)
        sure |= _sure_together(each, forces.rows, fall, grain, likely)
        shared, shared_rows = _shared(each, forces, fall, sure, likely)
        told += shared
        blamed |= {int(at) for n in shared_rows for at in (each.low[n], each.high[n])}
        likely[list(shared_rows)] = False
        for n in np.flatnonzero(likely):
            low, high = int(each.low[n]), int(each.high[n])
            if low in gross or high in gross:
                continue
            guilty = _guilty(judged, low, high)
            other = low if guilty == high else high
            found[guilty].append((other, float(fall[n]), bool(sure[n])))
        told += _told(each.kind, forces.rows, found)
        blamed |= {at for at, with_ in found.items() if any(s for _, _, s in with_)}
    return told, blamed


def _sure_together(
    pairs: Pairs,
    rows: tuple[Target, ...],
    fall: Numbers,
    grain: Numbers,
    likely: NDArray[np.bool_],
) -> NDArray[np.bool_]:
    """Likely falls that three or more pairs of the same two sizes share: noise would not."""
    of: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for n in np.flatnonzero(likely & pairs.settled):
        low, high = rows[pairs.low[n]], rows[pairs.high[n]]
        of[low.series, size_key(low.od_mm), size_key(high.od_mm)].append(int(n))
    sure = np.zeros(len(fall), dtype=bool)
    for ns in of.values():
        if len(ns) >= _TOGETHER and fall[ns].mean() * len(ns) ** 0.5 > _SURE * grain[ns].max():
            sure[ns] = True
    return sure


def _shared(
    pairs: Pairs,
    forces: Forces,
    fall: Numbers,
    sure: NDArray[np.bool_],
    likely: NDArray[np.bool_],
) -> tuple[list[Doubt], set[int]]:
    """Falls that most pairs of two tubes, or of one group, share: told once."""
    keys: tuple[Callable[[Group, Group], tuple[str, ...]], ...] = (
        lambda one, other: (one.tube, other.tube),
        lambda one, other: (one.series, one.tube, other.tube),
    )
    if pairs.kind != "force-falls-with-strength":
        keys = (lambda one, _: tuple(filter(None, one)),)
    rows, groups = forces.rows, forces.groups
    told: list[Doubt] = []
    taken: set[int] = set()
    for key in keys:
        of: dict[tuple[str, ...], list[int]] = defaultdict(list)
        for n, (low, high) in enumerate(zip(pairs.low, pairs.high, strict=True)):
            if n not in taken:
                of[key(groups[low], groups[high])].append(n)
        for shared, ns in of.items():
            falling = [n for n in ns if likely[n]]
            if len(falling) >= _SHARED and 2 * len(falling) >= len(ns):
                taken |= set(falling)
                weight: Weight = "strong" if any(sure[n] for n in falling) else "weak"
                told.append(_told_once(pairs, rows, fall, shared, falling, len(ns), weight))
    return told, taken


def _told_once(
    pairs: Pairs,
    rows: tuple[Target, ...],
    fall: Numbers,
    shared: tuple[str, ...],
    falling: list[int],
    of: int,
    weight: Weight,
) -> Doubt:
    worst = max(falling, key=lambda n: (fall[n], -n))
    low, high = rows[pairs.low[worst]], rows[pairs.high[worst]]
    return doubt(
        pairs.kind,
        weight,
        (rows[at].ref for n in falling for at in (pairs.low[n], pairs.high[n])),
        "force_kn",
        f"in {len(falling)} of {of} comparisons of {' '.join(shared)} the force falls, the worst: "
        f"{_said(high)} needs less than {_said(low)}, by {-np.expm1(-fall[worst]) * 100:.2g} %, "
        f"but {_MORE[pairs.kind]} needs no less force",
        "compare some rows of both with their source, unit first, or give the reason",
        about=f"targets/{'/'.join(shared)}",
    )


def _guilty(judged: Judged, low: int, high: int) -> int:
    # Of two rows in the wrong order, the one that the fit blames; without one, the higher.
    off_low = abs(judged.off[low]) if judged.off[low] > 0 else 0.0
    off_high = abs(judged.off[high]) if judged.off[high] < 0 else 0.0
    return low if off_low > off_high else high


def _told(
    kind: Rising, rows: tuple[Target, ...], found: dict[int, list[tuple[int, float, bool]]]
) -> Iterable[Doubt]:
    sizes: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for at, others in found.items():
        strong = any(sure for _, _, sure in others)
        key = ("strong" if strong else "weak", rows[at].series, size_key(rows[at].od_mm))
        sizes[key].append(at)
    for (weight, series, _), guilty in sizes.items():
        guilty.sort()
        together = [guilty] if len(guilty) >= _TOGETHER else [[at] for at in guilty]
        for ats in together:
            worst = max(ats, key=lambda at: max(f for _, f, _ in found[at]))
            other, fall, _ = max(found[worst], key=lambda each: each[1])
            # The lower of the two has the greater force here: that is what is wrong.
            forces_kn = number(rows[worst].force_kn), number(rows[other].force_kn)
            low, high = (worst, other) if forces_kn[0] >= forces_kn[1] else (other, worst)
            size = f"{series}/{number_text(rows[worst].od_mm)}"
            many = f"{len(ats)} rows of {size}, the worst: " if len(ats) > 1 else ""
            yield doubt(
                kind,
                "strong" if weight == "strong" else "weak",
                (*(rows[at].ref for at in ats), rows[other].ref),
                "force_kn",
                f"{many}{_said(rows[high])} needs less than {_said(rows[low])}, by "
                f"{-np.expm1(-fall) * 100:.2g} %, but {_MORE[kind]} needs no less force",
                "compare both rows with their source and correct the wrong one, or give the reason",
                about=f"targets/{size}" if len(ats) > 1 else "",
            )


def _said(row: Target) -> str:
    return f"`{row.ref}` with {number_text(row.force_kn)} kN"


def _pairs(kind: Rising, found: Iterable[tuple[int, int, bool]]) -> Pairs:
    table = np.array([(a, b, c) for a, b, c in found], dtype=np.intp).reshape(-1, 3)
    return Pairs(kind=kind, low=table[:, 0], high=table[:, 1], settled=table[:, 2] > 0)


def _gathered(forces: Forces, key: Callable[[Target, Group], Hashable]) -> Iterable[list[int]]:
    found: dict[Hashable, list[int]] = defaultdict(list)
    for at, (row, group) in enumerate(zip(forces.rows, forces.groups, strict=True)):
        found[key(row, group)].append(at)
    return found.values()


def _by_wall(forces: Forces) -> Iterable[tuple[int, int, bool]]:
    for ats in _gathered(forces, lambda r, group: (group, size_key(r.od_mm))):
        ordered = sorted(ats, key=lambda at: forces.rows[at].wall_min_mm)
        for n, high in enumerate(ordered):
            for low in ordered[max(0, n - 3) : n]:
                yield low, high, True


def _by_od(forces: Forces) -> Iterable[tuple[int, int, bool]]:
    rows = forces.rows
    for ats in _gathered(forces, lambda _, group: group):
        sizes: dict[int, list[int]] = defaultdict(list)
        for at in ats:
            sizes[size_key(rows[at].od_mm)].append(at)
        ods = sorted(sizes)
        for n, od in enumerate(ods):
            for high in sizes[od]:
                for smaller in ods[max(0, n - 3) : n]:
                    # Only the thickest wall that is no thicker: those below it say less.
                    lower = [
                        at
                        for at in sizes[smaller]
                        if rows[at].wall_min_mm <= rows[high].wall_min_mm
                    ]
                    if lower:
                        yield max(lower, key=lambda at: rows[at].wall_min_mm), high, True


def _by_strength(forces: Forces, strengths: dict[str, float]) -> Iterable[tuple[int, int, bool]]:
    groups = forces.groups
    found: list[tuple[int, int, bool, tuple[str, str]]] = []
    rising: dict[tuple[str, str], list[bool]] = defaultdict(list)
    for ats in _gathered(
        forces,
        lambda r, group: (
            r.series,
            size_key(r.od_mm),
            size_key(r.wall_min_mm),
            size_key(r.wall_max_mm),
            r.ring_style,
            group.ring,
            r.finish,
        ),
    ):
        known = [at for at in ats if groups[at].tube in strengths]
        known.sort(key=lambda at: (strengths[groups[at].tube], groups[at].tube))
        for n, high in enumerate(known):
            for low in known[:n]:
                one, other = groups[low], groups[high]
                # An insert takes more force: with one on the weaker tube alone nothing follows.
                if one.tube == other.tube or (one.insert, other.insert) == ("fitted", "none"):
                    continue
                pair: tuple[str, str] = (one.tube, other.tube)
                far = strengths[other.tube] >= _STRONGER * strengths[one.tube]
                found.append((low, high, far, pair))
                rising[pair].append(bool(forces.force[high] > forces.force[low]))
    # Where two tubes are nearly as strong, the table itself says which needs more.
    shares = {pair: sum(rises) / len(rises) for pair, rises in rising.items()}
    for low, high, far, pair in found:
        share = shares[pair]
        if not far and share <= 1 - _MOSTLY:
            low, high = high, low
        yield low, high, far or not 1 - _MOSTLY < share < _MOSTLY
