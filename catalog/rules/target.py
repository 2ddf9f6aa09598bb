"""Whether the revision holds a press target for exactly this tube and ring."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.index import band_for
from catalog.rows import Target
from catalog.rules.raised import Raised, length
from catalog.setup.tube_end import TubeEnd


def no_row(end: TubeEnd) -> Iterator[Raised]:
    """A target that no row gives is not invented: the nearest rows are named instead."""
    tube, fitting = end.tube, end.fitting
    if (
        end.target is not None
        or fitting.size is None
        or len(fitting.rings) > 1
        or fitting.facts.ring_style is UNSET
        or tube.material is None
        or not tube.wall_possible
        or tube.wall_mm is None
    ):
        return
    ring = fitting.facts.ring_material
    family = tube.material.family
    if tube.insert is not None and band_for(end.bands, tube.wall_mm, tube.insert) is not None:
        # The row is there, but for a ring of the tube's own metal.
        rows = () if fitting.ring is None else (fitting.ring,)
        message = f"no press target for a `{ring}` ring on `{family}` tube"
        yield Raised("target.no-row", "/fitting/ring_material", message, rows)
        return
    # Without a settled insert the finding about the insert says what is open, unless no row of
    # this size could help in any case.
    if tube.insert is None and end.bands:
        return
    what = (
        f"{fitting.size.designation} in {length(end, tube.wall_mm)} wall, "
        f"`{tube.material.id}`, `{fitting.facts.ring_style}` ring"
    )
    nearest = _nearest(end, tube.wall_mm)
    message = f"no press target for {what}{_walls(end, nearest)}"
    yield Raised("target.no-row", "/tube/wall", message, (fitting.size, *nearest))


def _nearest(end: TubeEnd, wall_mm: float) -> tuple[Target, ...]:
    """The two rows nearest to a wall, the thinner first."""

    def away(row: Target) -> float:
        return max(row.wall_min_mm - wall_mm, wall_mm - row.wall_max_mm, 0.0)

    nearest = sorted(end.bands, key=lambda row: (away(row), row.wall_min_mm))[:2]
    return tuple(sorted(nearest, key=lambda row: row.wall_min_mm))


def _walls(end: TubeEnd, nearest: tuple[Target, ...]) -> str:
    if not nearest:
        return ": no row of this size, tube and style at all"
    bands = " and ".join(
        f"{length(end, row.wall_min_mm)} to {length(end, row.wall_max_mm)} (insert {row.insert})"
        for row in nearest
    )
    return f", nearest rows are for walls {bands}"


TARGET_RULES = (no_row,)
"""Alone in its list: the one place where a missing row becomes a finding."""
