"""One frozen Struct per table: its columns, their types and bounds, and its key.

A column carries its unit in its name. Every row names its `source`; a second column that ends in
`_source` names the source of a part of the row that comes from elsewhere. A blank cell is None and
means that the source says nothing.
"""

from functools import cached_property
from typing import Annotated, ClassVar

from msgspec import Meta, Struct

from catalog.quantities import FACTOR, size_key
from catalog.terms import (
    Coating,
    Condition,
    CutMethod,
    Family,
    Finish,
    Fluid,
    Grade,
    HardnessScale,
    InsertState,
    LengthUnit,
    Lubricated,
    Lubrication,
    NeighbourKind,
    PressureUnit,
    RingStyle,
    Seam,
    System,
    Verdict,
    WallBasis,
)

Id = Annotated[str, Meta(pattern="^[A-Za-z0-9][A-Za-z0-9._+-]*$", min_length=1, max_length=80)]
Text = Annotated[str, Meta(max_length=600)]
NeededText = Annotated[str, Meta(min_length=1, max_length=600)]
Mm = Annotated[float, Meta(gt=0, le=1000)]
Stress = Annotated[float, Meta(gt=0, le=5000)]
Bar = Annotated[float, Meta(gt=0, le=10_000)]
Force = Annotated[float, Meta(gt=0, le=100_000)]
Celsius = Annotated[float, Meta(ge=-273.15, le=1500)]
Percent = Annotated[float, Meta(ge=0, lt=100)]
Count = Annotated[int, Meta(ge=1, le=1_000_000)]


def number_text(value: float) -> str:
    """Shortest plain text of a number: 16, 6.35."""
    return f"{value:.10g}"


class Row(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, dict=True, eq=False):
    """What every row has: a table, a key, a source.

    A row is equal to itself alone: numbers that follow from rows are remembered by row, and two
    revisions never share one. To compare what rows say, compare their canonical bytes.
    """

    table: ClassVar[str] = ""
    key_columns: ClassVar[tuple[str, ...]] = ("id",)

    source: Id

    @cached_property
    def ref(self) -> str:
        """Name of the row in an answer: `table/key/key`."""
        return "/".join((self.table, *(_key_text(getattr(self, c)) for c in self.key_columns)))

    @cached_property
    def source_columns(self) -> tuple[str, ...]:
        """Columns that name a source."""
        return tuple(f for f in self.__struct_fields__ if f.endswith("source"))

    @cached_property
    def sources(self) -> tuple[str, ...]:
        """Ids of every source that the row rests on."""
        named = (getattr(self, column) for column in self.source_columns)
        return tuple(dict.fromkeys(s for s in named if s is not None))


def _key_text(value: object) -> str:
    return number_text(value) if isinstance(value, float) else str(value)


class Source(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, gc=False):
    """A document, or what stands in for one, and how far it is trusted."""

    table: ClassVar[str] = "sources"
    key_columns: ClassVar[tuple[str, ...]] = ("id",)

    id: Id
    title: NeededText
    edition: Text
    clause: Text
    grade: Grade
    note: Text
    errata: Text

    @property
    def ref(self) -> str:
        """Name of the row in an answer."""
        return f"sources/{self.id}"


class Material(Row, frozen=True, kw_only=True):
    """A tube grade in a condition; strengths are the minima at room temperature."""

    table: ClassVar[str] = "materials"

    id: Id
    family: Family
    standard: Id
    condition: Condition
    yield_mpa: Stress | None
    tensile_mpa: Stress | None
    hardness_max: Annotated[float, Meta(gt=0)] | None
    hardness_scale: HardnessScale | None
    seams: tuple[Seam, ...]
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


class Series(Row, frozen=True, kw_only=True):
    """A fitting series; between the `complete_*` ods `sizes` holds all that the standard has."""

    table: ClassVar[str] = "series"

    id: Id
    standard: NeededText
    system: System
    preset: bool
    complete_from_od_mm: Annotated[float, Meta(ge=0, le=1000)] | None
    complete_to_od_mm: Annotated[float, Meta(ge=0, le=1000)] | None
    design_factor: Annotated[float, Meta(ge=1, le=20)]
    temp_min_c: Celsius
    temp_max_c: Celsius


class Size(Row, frozen=True, kw_only=True):
    """A size of a series: thread, rating by an edition, and what the bench needs to know."""

    table: ClassVar[str] = "sizes"
    key_columns: ClassVar[tuple[str, ...]] = ("series", "od_mm")

    series: Id
    od_mm: Mm
    designation: NeededText
    thread: NeededText
    nut_hex_mm: Mm | None
    rated_pressure_bar: Bar | None
    edition: Text
    insertion_depth_mm: Mm | None
    seal_diameter_mm: Mm
    min_straight_mm: Mm
    geometry_source: Id


class Derating(Row, frozen=True, kw_only=True):
    """Factor on the rated pressure of fittings of a family, up to a temperature."""

    table: ClassVar[str] = "derating"
    key_columns: ClassVar[tuple[str, ...]] = ("family", "temp_max_c")

    family: Family
    temp_max_c: Celsius
    factor: Annotated[float, Meta(gt=0, le=1)]


class Ring(Row, frozen=True, kw_only=True):
    """A matched set of cutting ring and compression nut."""

    table: ClassVar[str] = "rings"

    id: Id
    series: Id
    ring_style: RingStyle
    material: Family
    tube_families: tuple[Family, ...]
    finish: Finish
    lubrication: Lubrication
    lubricate: tuple[Lubricated, ...]
    seal_temp_min_c: Celsius | None
    seal_temp_max_c: Celsius | None
    seal_rated_pressure_bar: Bar | None
    fluids: tuple[Fluid, ...]


class Insert(Row, frozen=True, kw_only=True):
    """Walls of a tube between which an inner support sleeve is needed."""

    table: ClassVar[str] = "inserts"
    key_columns: ClassVar[tuple[str, ...]] = ("family", "od_mm")

    family: Family
    od_mm: Mm
    needed_below_mm: Mm
    useless_below_mm: Mm


class Press(Row, frozen=True, kw_only=True):
    """A press of the shop; its uncertainty is what calibration with its gauge has not taken out."""

    table: ClassVar[str] = "presses"

    id: Id
    ram_area_cm2: Annotated[float, Meta(gt=0, le=10_000)]
    return_force_kn: Annotated[float, Meta(ge=0, le=1000)]
    return_force_tolerance_kn: Annotated[float, Meta(ge=0, le=1000)]
    friction_percent: Percent
    rated_pressure_bar: Bar
    relief_setting_bar: Bar
    stroke_mm: Mm
    pump_full_stroke_cm3: Annotated[float, Meta(gt=0, le=10_000)]
    pump_fine_stroke_cm3: Annotated[float, Meta(gt=0, le=10_000)]
    usable_oil_cm3: Annotated[float, Meta(gt=0, le=1e6)]
    gauges: tuple[Id, ...]

    @cached_property
    def ram_area_mm2(self) -> float:
        """Ram area in [mm2]."""
        return self.ram_area_cm2 * FACTOR["cm2"]


class Gauge(Row, frozen=True, kw_only=True):
    """A gauge of the shop; span and graduation are in its own `unit`."""

    table: ClassVar[str] = "gauges"

    id: Id
    unit: PressureUnit
    span: Annotated[float, Meta(gt=0, le=1e6)]
    graduation: Annotated[float, Meta(gt=0, le=1e5)]
    class_percent: Annotated[float, Meta(gt=0, le=10)]
    stop_pin: bool
    working_range_percent: Annotated[float, Meta(gt=0, le=100)]
    due_soon_days: Annotated[int, Meta(ge=0, le=3650)]

    @cached_property
    def span_mpa(self) -> float:
        """Span in [MPa]."""
        return self.span * FACTOR[self.unit]

    @cached_property
    def graduation_mpa(self) -> float:
        """One graduation in [MPa]."""
        return self.graduation * FACTOR[self.unit]


class Cone(Row, frozen=True, kw_only=True):
    """A forming cone; a family without a check interval must never touch it."""

    table: ClassVar[str] = "cones"

    id: Id
    series: Id
    od_mm: Mm
    rated_force_kn: Force
    presses_between_checks_carbon_steel: Count | None
    presses_between_checks_stainless_steel: Count | None
    presses_between_checks_nickel_copper: Count | None

    def presses_between_checks(self, family: Family) -> int | None:
        """Presses between two checks on tube of this family, None where it must not touch it."""
        if family == "carbon-steel":
            return self.presses_between_checks_carbon_steel
        if family == "stainless-steel":
            return self.presses_between_checks_stainless_steel
        if family == "nickel-copper":
            return self.presses_between_checks_nickel_copper
        return None


class Plate(Row, frozen=True, kw_only=True):
    """A thrust plate: it backs the nut of one od in one system."""

    table: ClassVar[str] = "plates"

    id: Id
    system: System
    od_mm: Mm
    rated_force_kn: Force


class Target(Row, frozen=True, kw_only=True):
    """How hard a ring is pressed on a tube of this size, wall band and family.

    At a closed gap the force is only what is expected; the ceiling holds all the same.
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


AnyRow = Row | Source

TABLES: dict[str, type[Row] | type[Source]] = {
    t.table: t
    for t in (
        Source,
        Material,
        Strength,
        Tube,
        Neighbour,
        Series,
        Size,
        Derating,
        Ring,
        Insert,
        Press,
        Gauge,
        Cone,
        Plate,
        Target,
        Preparation,
        Caution,
        Case,
    )
}
"""Every table of a revision, by name, in the order in which they are told."""


def key_of(row: AnyRow) -> tuple[str | int, ...]:
    """Key of a row in its table; a size counts in whole tenths of a micrometre."""
    return tuple(
        size_key(value) if column.endswith("_mm") else _plain(value)
        for column in row.key_columns
        for value in (getattr(row, column),)
    )


def _plain(value: object) -> str | int:
    return round(value * 1000) if isinstance(value, float) else str(value)
