"""Tube grades, their strengths, sizes, what they may be taken for, and their inserts."""

from typing import Annotated, ClassVar

from msgspec import Meta

from catalog.rows.row import Celsius, Id, Mm, Name, NeededText, Percent, Row, Stress
from catalog.terms import Condition, Family, HardnessScale, NeighbourKind, Seam, WallBasis


class Material(Row, frozen=True, kw_only=True):
    """A tube grade in a condition; strengths are the minima at room temperature.

    `names` are other names that an order or a marking may have for it. The standard promises
    properties from `least_bore_mm` on.
    """

    table: ClassVar[str] = "materials"

    id: Id
    names: tuple[Name, ...]
    family: Family
    standard: Id
    condition: Condition
    yield_mpa: Stress | None
    tensile_mpa: Stress | None
    hardness_max: Annotated[float, Meta(gt=0)] | None
    hardness_scale: HardnessScale | None
    seams: tuple[Seam, ...]
    least_bore_mm: Mm | None
    preset: bool
    temp_min_c: Celsius
    temp_max_c: Celsius
    temp_source: Id


class Strength(Row, frozen=True, kw_only=True):
    """Strength of a grade at a temperature; a blank is not known, and is never estimated."""

    table: ClassVar[str] = "strengths"
    key_columns: ClassVar[tuple[str, ...]] = ("material", "temp_c")

    material: Id
    temp_c: Celsius
    yield_mpa: Stress | None
    tensile_mpa: Stress | None
    allowable_mpa: Stress | None
    endurance_mpa: Stress | None
    endurance_source: Id | None


class Tube(Row, frozen=True, kw_only=True):
    """A tube size of a standard with its tolerances."""

    table: ClassVar[str] = "tubes"
    key_columns: ClassVar[tuple[str, ...]] = ("standard", "od_mm", "wall_mm")

    standard: Id
    od_mm: Mm
    wall_mm: Mm
    od_tolerance_mm: Annotated[float, Meta(gt=0, le=10)]
    wall_under_percent: Percent
    wall_basis: WallBasis
    tolerance_source: Id


class Neighbour(Row, frozen=True, kw_only=True):
    """An outside diameter that a tube or a pipe can be bought in, with its tolerance."""

    table: ClassVar[str] = "neighbours"
    key_columns: ClassVar[tuple[str, ...]] = ("kind", "od_mm")

    kind: NeighbourKind
    od_mm: Mm
    label: NeededText
    od_tolerance_mm: Annotated[float, Meta(gt=0, le=10)]


class Insert(Row, frozen=True, kw_only=True):
    """Walls of a tube between which an inner support insert is needed."""

    table: ClassVar[str] = "inserts"
    key_columns: ClassVar[tuple[str, ...]] = ("family", "od_mm")

    family: Family
    od_mm: Mm
    needed_below_mm: Mm
    useless_below_mm: Mm
