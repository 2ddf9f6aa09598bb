"""Fitting series, their sizes, what temperature leaves of a rating, and ring sets."""

from typing import Annotated, ClassVar

from msgspec import Meta

from catalog.rows.row import Bar, Celsius, Id, Mm, NeededText, Row, Text
from catalog.terms import Family, Finish, Lubricated, Lubrication, RingStyle, System


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
    """A matched set of cutting ring and compression nut; a blank od is every size of the series.

    A set that names fluids is for those alone.
    """

    table: ClassVar[str] = "rings"

    id: Id
    series: Id
    od_mm: Mm | None
    ring_style: RingStyle
    material: Family
    tube_families: tuple[Family, ...]
    finish: Finish
    lubrication: Lubrication
    lubricate: tuple[Lubricated, ...]
    oil_thread: bool
    hold_s: Annotated[float, Meta(ge=0, le=600)] | None
    seal_material: Id | None
    seal_temp_min_c: Celsius | None
    seal_temp_max_c: Celsius | None
    seal_rated_pressure_bar: Bar | None
    fluids: tuple[Id, ...]
