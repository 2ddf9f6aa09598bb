"""The forces of the targets as numbers, and what each should be by all the others."""

import math
from collections.abc import Hashable, Iterable
from functools import cached_property
from typing import NamedTuple

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from catalog.plausibility.fit import Codes, Fit, Numbers, robust_fit
from catalog.quantities import size_key
from catalog.revision import Revision, rows_of
from catalog.rows import Ring, Series, Target

# Forces are printed to about three digits: half of the last of 10.7 is 0.5 %.
ROUNDING = 0.004
_FEWEST = 12  # rows below which a law says nothing about one of them
_MOST_GROUPS = 150  # groups in one fit; a table of more is fitted series by series

_NOISE_UNKNOWN = 0.01  # taken for tables too small to show theirs

LEAST_STRONG = float(np.log(1.10))
LEAST_WEAK = float(np.log(1.06))
SMOOTH_STRONG = float(np.log(1.25))
SMOOTH_WEAK = float(np.log(1.15))


class Group(NamedTuple):
    """What a force is compared within.

    `tube` is a family, or a grade of it that has rows of its own. `ring` is a ring set made for one
    size, and blank for the one that the whole series has, whether a row names it or not.
    """

    series: str
    ring_style: str
    tube: str
    ring: str
    insert: str
    finish: str


class Forces(Struct, frozen=True, kw_only=True, dict=True):
    """Rows of the targets in canonical order, with the logarithms of what is compared."""

    rows: tuple[Target, ...]
    groups: tuple[Group, ...]
    force: Numbers
    od: Numbers
    wall: Numbers
    system: tuple[str, ...]

    @cached_property
    def tolerance(self) -> Numbers:
        """Log of how far a force may be off by its own tolerance, at least as strict as 10 %.

        At contact the force is only expected, and its 20 % are no measure of a slip.
        """
        percent = np.array([number(r.tolerance_percent) for r in self.rows])
        return np.minimum(np.log1p(percent / 100), LEAST_STRONG)


class Judged(Struct, frozen=True, kw_only=True):
    """How far each force is off, the scale of that fit, and the limits of a doubt, in logs."""

    off: Numbers
    scale: Numbers
    strong: Numbers
    weak: Numbers
    noise: Numbers
    known: NDArray[np.bool_]
    curve: Numbers
    curve_scale: Numbers

    def expected(self, force: Numbers) -> Numbers:
        """Log of the force that the other rows let expect."""
        return force - self.off

    @property
    def is_off(self) -> NDArray[np.bool_]:
        """Whether a row is off by so much that it is a strong doubt."""
        told: NDArray[np.bool_] = np.abs(self.off) > self.strong
        return told


def number(value: object) -> float:
    """Finite number above zero, whatever a row that no loader has seen holds."""
    if isinstance(value, (int, float)) and math.isfinite(value) and value > 0:
        return float(value)
    return 1e-9


def forces_of(revision: Revision) -> Forces:
    """The targets of a revision as numbers."""
    rows = rows_of(revision, Target)
    system = {s.id: s.system for s in rows_of(revision, Series)}
    of_one_size = {r.id for r in rows_of(revision, Ring) if r.od_mm is not None}
    return Forces(
        rows=rows,
        groups=tuple(_group(r, of_one_size) for r in rows),
        force=np.log([number(r.force_kn) for r in rows]),
        od=np.log([number(r.od_mm) for r in rows]),
        wall=np.log([number((r.wall_min_mm + r.wall_max_mm) / 2) for r in rows]),
        system=tuple(system.get(r.series, r.series) for r in rows),
    )


def _group(row: Target, of_one_size: set[str]) -> Group:
    ring = row.ring if row.ring in of_one_size else None
    return Group(
        row.series,
        row.ring_style,
        tube_of(row.family, row.grade),
        ring or "",
        row.insert,
        row.finish,
    )


def tube_of(family: str, grade: str | None) -> str:
    """What a force is for: a family, or a grade of it."""
    return family if grade is None else f"{family} {grade}"


def codes_of(keys: Iterable[Hashable]) -> Codes:
    """A whole number for each key, the same for keys that are alike."""
    known: dict[Hashable, int] = {}
    return np.array([known.setdefault(key, len(known)) for key in keys], dtype=np.intp)


def parts_of(forces: Forces) -> list[Codes]:
    """Positions of rows that are fitted together: a system, or a series where that is too many."""
    parts: dict[str, list[int]] = {}
    for at, system in enumerate(forces.system):
        parts.setdefault(system, []).append(at)
    told = []
    for at_system in parts.values():
        groups = {forces.groups[at] for at in at_system}
        if len(groups) <= _MOST_GROUPS:
            told.append(np.array(at_system, dtype=np.intp))
            continue
        by_series: dict[str, list[int]] = {}
        for at in at_system:
            by_series.setdefault(forces.rows[at].series, []).append(at)
        told += [np.array(each, dtype=np.intp) for each in by_series.values()]
    return told


def smooth_fit(forces: Forces, at: Codes, force: Numbers, steps: int = 24) -> Fit:
    """Fit of curves in od and relative wall, with a level for each group."""
    rows = tuple(forces.rows[n] for n in at)
    od = forces.od[at] - np.median(forces.od[at])
    bare = np.array([r.insert == "none" for r in rows], dtype=float)
    thin = forces.wall[at] - forces.od[at]
    # With an insert a thin wall may count for nothing, or for as much as without.
    design = np.column_stack([od, od**2, thin * bare, thin**2 * bare, thin * (1 - bare)])
    groups = codes_of(forces.groups[n] for n in at)
    return robust_fit(force[at], groups, design, ROUNDING, steps)


def judged_forces(forces: Forces, force: Numbers) -> Judged:
    """Each force judged by up to three fits, as far as they have rows enough to speak.

    A curve through the whole table sees a slipped size; a level for each od, and one for each od
    and wall, assume no law of od at all and see a slipped row. A fit beyond its strong limit is
    believed, the farthest first; where there is none the sharpest says what is expected. A law
    that does not suit a fit widens the limits of that fit alone.
    """
    n = len(forces.rows)
    told = Judged(
        off=np.zeros(n),
        scale=np.full(n, _NOISE_UNKNOWN),
        strong=np.full(n, np.inf),
        weak=np.full(n, np.inf),
        noise=np.full(n, _NOISE_UNKNOWN),
        known=np.zeros(n, dtype=bool),
        curve=np.zeros(n),
        curve_scale=np.full(n, np.inf),
    )
    for at in parts_of(forces):
        if len(at) >= _FEWEST:
            _judge_part(told, forces, at, force)
    return told


def _judge_part(told: Judged, forces: Forces, at: Codes, force: Numbers) -> None:
    best, least = np.full(len(at), -1.0), np.full(len(at), np.inf)
    for n, (fit, times, least_strong, least_weak) in enumerate(_fits(forces, at, force)):
        strong_at = np.maximum(least_strong, times * fit.scale)
        weak_at = np.full(len(at), max(least_weak, 0.8 * times * fit.scale))
        speaks = (fit.support >= 4) & (fit.spare >= max(8, len(at) // 5))
        beyond = np.where(speaks, np.abs(fit.residual) / strong_at, -1.0)
        sharper = speaks & (best <= 1) & (fit.scale < told.scale[at])
        takes = ((beyond > 1) & (beyond > best)) | sharper | (speaks & ~told.known[at])
        to = at[takes]
        told.off[to], told.scale[to] = fit.residual[takes], fit.scale
        told.strong[to], told.weak[to] = strong_at[takes], weak_at[takes]
        told.known[to] = True
        best = np.where(takes, beyond, best)
        least = np.minimum(least, np.where(speaks, fit.noise, np.inf))
        if n == 0:
            told.curve[at], told.curve_scale[at] = fit.residual, fit.scale
    told.noise[at] = np.where(np.isfinite(least), least, _NOISE_UNKNOWN)


def _fits(forces: Forces, at: Codes, force: Numbers) -> list[tuple[Fit, float, Numbers, float]]:
    rows = tuple(forces.rows[n] for n in at)
    smooth = smooth_fit(forces, at, force)
    groups = _columns(codes_of(forces.groups[n] for n in at))
    styles = _columns(codes_of((tube_of(r.family, r.grade), r.ring_style) for r in rows))
    bare = np.array([r.insert == "none" for r in rows], dtype=float)
    thin = forces.wall[at] - forces.od[at]
    thin_of = np.column_stack([styles * (thin * bare)[:, None], thin * (1 - bare)])
    sizes = codes_of((r.series, size_key(r.od_mm)) for r in rows)
    cells = codes_of((size_key(r.od_mm), size_key(r.wall_min_mm)) for r in rows)
    by_size = robust_fit(
        force[at], sizes, np.column_stack([groups, thin_of, thin**2 * bare]), ROUNDING
    )
    by_cell = robust_fit(force[at], cells, np.column_stack([groups, thin_of]), ROUNDING)
    tolerance = forces.tolerance[at]
    wide = np.full(len(at), SMOOTH_STRONG)
    return [
        (smooth, 6.0, wide, SMOOTH_WEAK),
        (by_size, 5.0, tolerance, LEAST_WEAK),
        (by_cell, 4.5, tolerance, LEAST_WEAK),
    ]


def _columns(codes: Codes) -> Numbers:
    table = np.zeros((len(codes), int(codes.max()) + 1))
    table[np.arange(len(codes)), codes] = 1.0
    return table
