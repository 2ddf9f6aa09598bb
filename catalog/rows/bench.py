"""Press targets, limits of the tube end, texts for the bench, and known answers."""

from functools import cached_property
from typing import Annotated, ClassVar

from msgspec import Meta

from catalog.quantities import size_key
from catalog.rows.row import Celsius, Force, Id, Mm, NeededText, Row
from catalog.terms import (
    Family,
    Finish,
    InsertState,
    LengthUnit,
    RingStyle,
    System,
    Verdict,
)


class Target(Row, frozen=True, kw_only=True):
    """How hard a ring is pressed on a tube of this size, wall band and family.

    A blank grade is every grade of the family that has no row of its own in the series and ring
    style, a blank ring the only ring set that covers the od. At contact the force is only what is
    expected; the ceiling holds all the same.
    """

    table: ClassVar[str] = "targets"
    key_columns: ClassVar[tuple[str, ...]] = (
        "series",
        "od_mm",
        "wall_min_mm",
        "wall_max_mm",
        "family",
        "grade",
        "ring_style",
        "ring",
        "insert",
    )

    series: Id
    od_mm: Mm
    wall_min_mm: Mm
    wall_max_mm: Mm
    family: Family
    grade: Id | None
    ring_style: RingStyle
    ring: Id | None
    insert: InsertState
    force_kn: Force
    tolerance_percent: Annotated[float, Meta(gt=0, le=50)]
    finish: Finish
    ceiling_kn: Force

    @cached_property
    def wall_keys(self) -> tuple[int, int]:
        """Ends of the wall band, as `size_key`."""
        return size_key(self.wall_min_mm), size_key(self.wall_max_mm)


class Preparation(Row, frozen=True, kw_only=True):
    """Limits of the tube end, and the tightest bend that the shop makes, in multiples of the od."""

    table: ClassVar[str] = "preparation"
    key_columns: ClassVar[tuple[str, ...]] = ("system", "od_min_mm")

    system: System
    od_min_mm: Mm
    od_max_mm: Mm
    out_of_square_max_deg: Annotated[float, Meta(gt=0, le=45)]
    tightest_bend_ods: Annotated[float, Meta(ge=2, le=100)]
    caliper_uncertainty_mm: Annotated[float, Meta(ge=0, le=1)]
    caliper_source: Id


class CutMethod(Row, frozen=True, kw_only=True):
    """A way in which a tube end may come to be cut, accepted or refused before a ring."""

    table: ClassVar[str] = "cut_methods"

    id: Id
    accepted: bool


class Coating(Row, frozen=True, kw_only=True):
    """A coating under the ring; of a family that is in neither list it is not known."""

    table: ClassVar[str] = "coatings"

    id: Id
    families_accepted: tuple[Family, ...]
    families_refused: tuple[Family, ...]
    zinc: bool


class Fluid(Row, frozen=True, kw_only=True):
    """A fluid of a line; with a seal that is in neither list it is not known."""

    table: ClassVar[str] = "fluids"

    id: Id
    gas: bool
    ring_styles: tuple[RingStyle, ...]
    seals_accepted: tuple[Id, ...]
    seals_refused: tuple[Id, ...]
    temp_min_c: Celsius
    temp_max_c: Celsius
    life_above_c: Celsius | None
    attacks_zinc: bool
    density_kg_m3: Annotated[float, Meta(gt=0, le=25_000)] | None
    temp_source: Id


class Caution(Row, frozen=True, kw_only=True):
    """The text and the remedy that are shown with a finding code; its severity is not a row's."""

    table: ClassVar[str] = "cautions"
    key_columns: ClassVar[tuple[str, ...]] = ("code",)

    code: Annotated[str, Meta(pattern="^[a-z]+[.][a-z0-9-]+$", max_length=80)]
    text: NeededText
    remedy: NeededText


class Case(Row, frozen=True, kw_only=True):
    """A press target whose answer is known from arithmetic done by hand, which stands beside it.

    A revision must answer all its own cases rightly. Readings are in the unit of the dial; a blank
    expected number is not compared, the others must agree within `within`.
    """

    table: ClassVar[str] = "cases"

    id: Id
    od: Annotated[float, Meta(gt=0, le=1000)]
    wall: Annotated[float, Meta(gt=0, le=1000)]
    size_unit: LengthUnit
    material: Id
    series: Id
    ring_style: RingStyle
    ring_material: Family
    insert: InsertState | None
    press: Id | None
    gauge: Id | None
    verdict: Verdict
    codes: tuple[str, ...]
    force_kn: Force | None
    dial_low: float | None
    dial_high: float | None
    stop_at: float | None
    never_exceed: float | None
    within: Annotated[float, Meta(ge=0, le=100)]
    arithmetic: NeededText
