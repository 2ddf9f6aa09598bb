"""Forces that stand out from all the others, told by what they look like."""

from collections import defaultdict
from collections.abc import Callable, Hashable
from typing import Final

import numpy as np

from catalog.plausibility.doubt import Doubt, Weight, doubt
from catalog.plausibility.fit import Numbers
from catalog.plausibility.forces import Forces, Judged, tube_of
from catalog.plausibility.naming import exchanged, listed, slip_of
from catalog.quantities import size_key
from catalog.rows import Target, number_text

GROSS: Final = float(np.log(1.5))
"""A row that is off by more is told as such, and not by the order that it breaks too."""
_MOST_SWAPPED: Final = 300
_MOST_APART: Final = 2  # parts of the key; rows that share less were hardly swapped
_TOGETHER: Final = 3


def swapped_rows(
    forces: Forces, force: Numbers, judged: Judged
) -> tuple[list[Doubt], set[int], Numbers]:
    """Pairs of rows that each hold what the other should; the rows; and the forces put back."""
    expected = judged.expected(force)
    suspects = [int(n) for n in np.flatnonzero(np.abs(judged.off) > judged.weak)]
    if len(suspects) > _MOST_SWAPPED:
        return [], set(), force
    found = []
    for n, one in enumerate(suspects):
        for other in suspects[n + 1 :]:
            if judged.off[one] * judged.off[other] >= 0:
                continue
            left = max(abs(force[one] - expected[other]), abs(force[other] - expected[one]))
            slack = max(3 * judged.scale[one], 3 * judged.scale[other], 0.04)
            was = min(abs(judged.off[one]), abs(judged.off[other]))
            if left <= slack and left < 0.5 * was:
                apart = _apart(forces.rows[one], forces.rows[other])
                if apart <= _MOST_APART:
                    found.append((apart, float(left), one, other))
    told, taken, put = [], set[int](), force.copy()
    for _, _, one, other in sorted(found):
        if one in taken or other in taken:
            continue
        taken |= {one, other}
        put[one], put[other] = force[other], force[one]
        strong = bool(judged.is_off[one] or judged.is_off[other])
        told.append(_swap(forces, judged, one, other, "strong" if strong else "weak"))
    return told, taken, put


def outlier_doubts(
    forces: Forces, force: Numbers, judged: Judged, explained: set[int]
) -> tuple[list[Doubt], set[int]]:
    """Doubts about forces that are off, a slip that rows of one size share told once."""
    off = [int(n) for n in np.flatnonzero(np.abs(judged.off) > judged.weak) if n not in explained]
    told: list[Doubt] = []
    left = set(off)
    keys: tuple[tuple[str, Callable[[Target], Hashable]], ...] = (
        ("size", lambda r: (r.series, size_key(r.od_mm))),
        ("tube", lambda r: (r.series, r.ring_style, tube_of(r.family, r.grade))),
    )
    for _, key in keys:
        blocks: dict[Hashable, list[int]] = defaultdict(list)
        for n, row in enumerate(forces.rows):
            blocks[key(row)].append(n)
        for block in blocks.values():
            for ats in _alike(judged, [n for n in block if n in left and judged.is_off[n]]):
                if len(ats) >= _TOGETHER and len(ats) >= 0.6 * len(block):
                    told.append(_told(forces, force, judged, ats, "strong"))
                    left -= set(ats)
    told += [
        _told(forces, force, judged, [n], "strong" if judged.is_off[n] else "weak")
        for n in sorted(left)
    ]
    return told, {n for n in off if judged.is_off[n]}


def _alike(judged: Judged, ats: list[int]) -> list[list[int]]:
    """Rows parted where the next one is off by plainly more."""
    parts: list[list[int]] = []
    for n in sorted(ats, key=lambda at: float(judged.off[at])):
        slack = max(0.08, 3 * float(judged.scale[n]))
        if parts and judged.off[n] - judged.off[parts[-1][-1]] <= slack:
            parts[-1].append(n)
        else:
            parts.append([n])
    return [sorted(part) for part in parts]


def _told(forces: Forces, force: Numbers, judged: Judged, ats: list[int], weight: Weight) -> Doubt:
    worst = max(ats, key=lambda n: (abs(float(judged.off[n])), -n))
    row, off = forces.rows[worst], float(np.median(judged.off[ats]))
    expected = float(np.exp(judged.expected(force)[worst]))
    slack = max(0.08, 3 * float(judged.scale[worst]))
    kind, looks = slip_of(float(np.exp(off)), "force", slack)
    digits = exchanged(row.force_kn, expected, max(0.03, 2 * float(judged.scale[worst])))
    if kind == "out-of-line" and digits and len(ats) == 1:
        looks = f"{looks}; {digits} kN with two digits exchanged would fit"
    limit = np.expm1(float(judged.strong[worst] if weight == "strong" else judged.weak[worst]))
    many = f"{len(ats)} rows, the worst `{row.ref}`: " if len(ats) > 1 else ""
    size = f"targets/{row.series}/{number_text(row.od_mm)}"
    one_size = len({size_key(forces.rows[n].od_mm) for n in ats}) == 1
    return doubt(
        kind,
        weight,
        (forces.rows[n].ref for n in ats),
        "force_kn",
        f"{many}force {number_text(row.force_kn)} kN, but the other rows let expect about "
        f"{expected:.3g} kN (limit {limit * 100:.2g} % off): {looks}",
        "compare with the source and correct the force, or give the reason why it stands out",
        about="" if len(ats) == 1 else size if one_size else f"{size}+{len(ats)}",
    )


def _swap(forces: Forces, judged: Judged, one: int, other: int, weight: Weight) -> Doubt:
    a, b = forces.rows[one], forces.rows[other]
    percent = max(abs(np.expm1(judged.off[one])), abs(np.expm1(judged.off[other]))) * 100
    return doubt(
        "rows-swapped",
        weight,
        (a.ref, b.ref),
        "force_kn",
        f"{number_text(a.force_kn)} kN in `{listed([a.ref])}` and {number_text(b.force_kn)} kN in "
        f"`{b.ref}` fit when they are exchanged; as they stand a force is off by {percent:.2g} %, "
        f"its tolerance is {number_text(min(a.tolerance_percent, b.tolerance_percent))} %",
        "compare both rows with their source and exchange the forces, or give the reason",
    )


def _apart(one: Target, other: Target) -> int:
    """How many parts of the key differ; a wall band and its insert are one part."""
    walls = (one.wall_min_mm, one.wall_max_mm, one.insert)
    same_wall = walls == (other.wall_min_mm, other.wall_max_mm, other.insert)
    parts = ("series", "od_mm", "family", "grade", "ring_style", "ring")
    unlike = [part for part in parts if getattr(one, part) != getattr(other, part)]
    return len(unlike) + (not same_wall)
