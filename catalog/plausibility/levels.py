"""Levels of whole groups: line load in an absolute band, and one group against another."""

from collections import defaultdict
from collections.abc import Hashable
from itertools import combinations, product
from statistics import median
from typing import Final

import numpy as np

from catalog.plausibility.doubt import Doubt, Weight, doubt
from catalog.plausibility.fit import Numbers
from catalog.plausibility.forces import Forces
from catalog.plausibility.naming import listed, slip_of
from catalog.quantities import size_key

# Line load of a cutting ring, kN a mm of circumference: own judgement, no published value is known.
# An edge that sinks 0.1 to 0.5 mm into metal of 350 to 1,000 MPa, with the wedge of a 24 degree
# cone and the ring's own shrinking, takes 0.2 to 2.5. A shared factor of 4.4 or 10 leaves that.
LINE_LOAD_STRONG: Final = (0.2, 2.5)
LINE_LOAD_WEAK: Final = (0.35, 1.8)

# One group to another at the same size and wall, own judgement: the strongest tube metal here has
# less than three times the flow stress of the weakest, a seal changes friction, a series the ring.
_MOST_APART: Final[dict[str, tuple[float, float]]] = {
    "tube": (2.2, 3.0),
    "ring_style": (1.5, 2.0),
    "series": (1.6, 2.5),
}
_WORDS: Final = {"tube": "tubes", "ring_style": "ring styles", "series": "series"}
_CONTEXT: Final[dict[str, tuple[str, ...]]] = {
    "tube": ("series", "ring_style", "ring"),
    "ring_style": ("series", "tube", "ring"),
    "series": ("ring_style", "tube", "ring"),
}
# How far the ratio of two groups may differ from the same ratio elsewhere in the table.
_ELSEWHERE: Final = (float(np.log(1.12)), float(np.log(1.30)))
_FEWEST: Final = 4


def line_load_doubts(forces: Forces, explained: set[int]) -> list[Doubt]:
    """Forces whose load on a mm of circumference no cutting ring has, told once for all."""
    load = np.exp(forces.force - forces.od) / np.pi
    told: list[Doubt] = []
    sides = set()
    bands: tuple[tuple[Weight, tuple[float, float]], ...] = (
        ("strong", LINE_LOAD_STRONG),
        ("weak", LINE_LOAD_WEAK),
    )
    for (weight, (low, high)), side in product(bands, ("high", "low")):
        beyond = load > high if side == "high" else load < low
        if weight == "weak":
            least, most = LINE_LOAD_STRONG
            beyond &= (load <= most) & (load >= least)
        ats = [int(n) for n in np.flatnonzero(beyond)]
        # A row told as an outlier is not told again, unless it is the table that is off.
        fresh = ats if len(ats) > len(load) / 3 else [n for n in ats if n not in explained]
        if fresh and side not in sides:
            sides.add(side)
            told.append(_load(forces, load, fresh, weight, (low, high), side))
    return told


def _load(
    forces: Forces,
    load: Numbers,
    ats: list[int],
    weight: Weight,
    band: tuple[float, float],
    side: str,
) -> Doubt:
    middle = float(np.median(load))
    worst = max(ats, key=lambda n: (load[n] if side == "high" else -load[n], -n))
    row = forces.rows[worst]
    return doubt(
        "line-load",
        weight,
        (forces.rows[n].ref for n in ats),
        "force_kn",
        f"{len(ats)} of {len(load)} forces are {'above' if side == 'high' else 'below'} "
        f"{band[1] if side == 'high' else band[0]:g} kN a mm of circumference, the farthest "
        f"`{row.ref}` with {load[worst]:.3g} (middle of the table {middle:.3g}): no cutting ring "
        "is known to need that, a factor may be on the whole column",
        "check the unit of the force column and compare some rows with their source",
        about=f"targets/{side}",
    )


def ratio_doubts(forces: Forces, force: Numbers) -> list[Doubt]:
    """Tubes, styles and series whose forces are too far apart, or not as elsewhere."""
    told = []
    for what in _CONTEXT:
        found = _ratios(forces, force, what)
        told += _absolute(forces, what, found)
        told += _elsewhere(forces, found)
    return told


Ratios = dict[tuple[str, str], dict[tuple[str, ...], tuple[float, list[int], list[int]]]]


def _ratios(forces: Forces, force: Numbers, what: str) -> Ratios:
    """Middle log ratio of each two groups in each context, with the rows of both."""
    context = [
        tuple(filter(None, (getattr(group, part) for part in _CONTEXT[what])))
        for group in forces.groups
    ]
    cells: dict[Hashable, dict[str, int]] = defaultdict(dict)
    for at, (r, group) in enumerate(zip(forces.rows, forces.groups, strict=True)):
        cell = (context[at], size_key(r.od_mm), size_key(r.wall_min_mm), r.insert, r.finish)
        cells[cell][getattr(group, what)] = at
    rows: dict[tuple[str, str], dict[tuple[str, ...], list[tuple[int, int]]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for of in cells.values():
        for one, other in combinations(sorted(of), 2):
            rows[one, other][context[of[one]]].append((of[one], of[other]))
    return {
        pair: {
            where: (
                median(float(force[a] - force[b]) for a, b in ats),
                [a for a, _ in ats],
                [b for _, b in ats],
            )
            for where, ats in of.items()
            if len(ats) >= _FEWEST
        }
        for pair, of in rows.items()
    }


def _absolute(forces: Forces, what: str, found: Ratios) -> list[Doubt]:
    weak, strong = _MOST_APART[what]
    told = []
    for (one, other), of in found.items():
        far = {w: each for w, each in of.items() if abs(each[0]) > np.log(weak)}
        for limit in (strong, weak):
            is_strong = limit == strong
            ones = {w: e for w, e in far.items() if (abs(e[0]) > np.log(strong)) == is_strong}
            if not ones:
                continue
            middle = median(each[0] for each in ones.values())
            high = one if middle > 0 else other
            told.append(
                doubt(
                    "ratio",
                    "strong" if is_strong else "weak",
                    _refs(forces, [n for _, a, b in ones.values() for n in (*a, *b)]),
                    "force_kn",
                    f"`{high}` takes {np.exp(abs(middle)):.3g} times the force of "
                    f"`{other if high == one else one}` at the same size and wall "
                    f"(limit {limit:g}, {listed([' '.join(w) for w in ones])}): the two "
                    f"{_WORDS[what]} look {_slip(middle)}",
                    "compare some rows of both with their source, unit first",
                    about=f"targets/{one}/{other}",
                )
            )
    return told


def _elsewhere(forces: Forces, found: Ratios) -> list[Doubt]:
    told = []
    weak, strong = _ELSEWHERE
    for (one, other), of in found.items():
        if len(of) < 2:
            continue
        for where, (ratio, a, b) in of.items():
            rest = median(each[0] for w, each in of.items() if w != where)
            off = ratio - rest
            # Of two contexts neither is the measure of the other: told once, as the first.
            if abs(off) <= weak or (len(of) == 2 and where != min(of)):
                continue
            told.append(
                doubt(
                    "ratio",
                    "strong" if abs(off) > strong else "weak",
                    _refs(forces, [*a, *b]),
                    "force_kn",
                    f"`{one}` takes {np.exp(ratio):.3g} times the force of `{other}` in "
                    f"{' '.join(where)}, but {np.exp(rest):.3g} times elsewhere in the table "
                    f"(limit {np.expm1(strong if abs(off) > strong else weak) * 100:.2g} % off)",
                    "compare some rows of both with their source, unit first",
                    about=f"targets/{'/'.join(where)}/{one}/{other}",
                )
            )
    return told


def _slip(middle: float) -> str:
    kind, looks = slip_of(float(np.exp(abs(middle))), "force", 0.5)
    return looks.removeprefix("looks ") if kind != "out-of-line" else "too far apart"


def _refs(forces: Forces, ats: list[int]) -> list[str]:
    return [forces.rows[n].ref for n in sorted(set(ats))]
