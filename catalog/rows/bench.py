"""Press targets, limits of the tube end, texts for the bench, and known answers."""

from typing import Annotated, ClassVar

from msgspec import Meta

from catalog.rows.row import Force, Id, Mm, NeededText, Row
from catalog.terms import (
    Coating,
    CutMethod,
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

    At contact the force is only what is expected; the ceiling holds all the same.
    """

    table: ClassVar[str] = "targets"
    key_columns: ClassVar[tuple[str, ...]] = (
        "series",
        "od_mm",
        "wall_min_mm",
        "wall_max_mm",
        "family",
        "ring_style",
        "insert",
    )

    series: Id
    od_mm: Mm
    wall_min_mm: Mm
    wall_max_mm: Mm
    family: Family
    ring_style: RingStyle
    insert: InsertState
    force_kn: Force
    tolerance_percent: Annotated[float, Meta(gt=0, le=50)]
    finish: Finish
    ceiling_kn: Force


class Preparation(Row, frozen=True, kw_only=True):
    """Limits of the tube end; a cut or coating neither accepted nor refused is not known."""

    table: ClassVar[str] = "preparation"
    key_columns: ClassVar[tuple[str, ...]] = ("system", "od_min_mm")

    system: System
    od_min_mm: Mm
    od_max_mm: Mm
    out_of_square_max_deg: Annotated[float, Meta(gt=0, le=45)]
    cuts_accepted: tuple[CutMethod, ...]
    cuts_refused: tuple[CutMethod, ...]
    coatings_accepted: tuple[Coating, ...]
    coatings_refused: tuple[Coating, ...]
    coating_source: Id
    caliper_uncertainty_mm: Annotated[float, Meta(ge=0, le=1)]
    caliper_source: Id


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
