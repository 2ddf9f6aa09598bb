"""What stands and lies in the shop: presses, gauges, forming cones, thrust plates."""

from functools import cached_property
from typing import Annotated, ClassVar

from msgspec import Meta

from catalog.quantities import FACTOR
from catalog.rows.row import Bar, Count, Force, Id, Mm, Percent, Row
from catalog.terms import Family, PressureUnit, System


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


class Gauge(Row, frozen=True, kw_only=True):
    """A gauge of the shop; span, graduation, overload and protection are in its own `unit`.

    `overload` is what it survives; blank where only the usual share of the span is known. At
    `protected_to`, give or take its tolerance, a protector closes and the pointer stops.
    """

    table: ClassVar[str] = "gauges"

    id: Id
    unit: PressureUnit
    span: Annotated[float, Meta(gt=0, le=1e6)]
    graduation: Annotated[float, Meta(gt=0, le=1e5)]
    class_percent: Annotated[float, Meta(gt=0, le=10)]
    stop_pin: bool
    working_range_percent: Annotated[float, Meta(gt=0, le=100)]
    due_soon_days: Annotated[int, Meta(ge=0, le=3650)]
    overload: Annotated[float, Meta(gt=0, le=1e7)] | None
    protected_to: Annotated[float, Meta(gt=0, le=1e6)] | None
    protected_tolerance: Annotated[float, Meta(ge=0, le=1e6)] | None

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
