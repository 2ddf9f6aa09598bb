"""A target on one press and gauge: the reading, its window, the mark to stop at, the limit."""

from functools import lru_cache
from typing import Literal

from msgspec import Struct

from catalog.calc.dial import marks_in, stop_mark
from catalog.calc.gauge import (
    Window,
    dial_end_mpa,
    dial_window,
    gauge_overload_mpa,
    guard_mpa,
    never_exceed_mpa,
    press_uncertainty_mpa,
    usable_window,
)
from catalog.calc.press import force_band_kn, force_kn, gauge_mpa, oil_volume_mm3, pump_strokes
from catalog.quantities import FACTOR, PA_PER_UNIT, above
from catalog.rows import Cone, Gauge, Plate, Press, Target

Limit = Literal["ceiling", "press", "tooling", "dial"]
"""What never exceed comes from."""
Cut = Literal["never-exceed", "relief-setting"]
"""What ends a window before the force band does."""


class Pressing(Struct, frozen=True, kw_only=True, gc=False):
    """Numbers of one target on one press with one gauge.

    `window` is what the guard band leaves of the force band, `usable` what is left of it below
    `never_exceed_mpa` and the relief setting, of which `cut_by` names the one that cuts. `contact`
    is where contact is expected, cut off alike. `stop_at` is in the unit of the dial, None where no
    mark can be stopped at.
    """

    nominal_mpa: float
    low_mpa: float
    high_mpa: float
    ceiling_mpa: float
    press_uncertainty_mpa: float
    guard_mpa: float
    window: Window
    usable: Window
    cut_by: Cut | None
    contact: Window
    marks: int
    stop_at: float | None
    press_rated_mpa: float
    tooling_mpa: float | None
    never_exceed_mpa: float
    limited_by: Limit
    relief_mpa: float
    relief_force_kn: float
    oil_volume_mm3: float
    pump_strokes: int


def weakest(cone: Cone | None, plate: Plate | None) -> Cone | Plate | None:
    """Tool that bears the least, None where neither is known."""
    tools = (tool for tool in (cone, plate) if tool is not None)
    return min(tools, key=lambda tool: tool.rated_force_kn, default=None)


def overload_of(gauge: Gauge) -> float:
    """What a gauge survives [MPa]: by its row, else by the usual share of its span."""
    if gauge.overload is None:
        return gauge_overload_mpa(gauge.span_mpa)
    return gauge.overload * FACTOR[gauge.unit]


def is_protected(gauge: Gauge) -> bool:
    """Whether a protector closes, tolerance included, before the gauge is lost."""
    if gauge.protected_to is None:
        return False
    closes_by = gauge.protected_to + (gauge.protected_tolerance or 0.0)
    return not above(closes_by * FACTOR[gauge.unit], overload_of(gauge))


def reads_to_mpa(gauge: Gauge) -> float:
    """Last reading that the pointer is sure to reach [MPa]."""
    if gauge.protected_to is None:
        return gauge.span_mpa
    unit = FACTOR[gauge.unit]
    tolerance = gauge.protected_tolerance or 0.0
    return dial_end_mpa(gauge.span_mpa, gauge.protected_to * unit, tolerance * unit)


@lru_cache(maxsize=8192)
def pressing(
    target: Target, press: Press, gauge: Gauge, cone: Cone | None, plate: Plate | None
) -> Pressing:
    """Numbers of a target on a press and gauge, with the tooling that must bear the force.

    A pure function of rows, and a batch asks it again and again: it is remembered by row.
    """
    area_mm2 = press.ram_area_mm2
    back_kn = press.return_force_kn
    low_kn, high_kn = force_band_kn(target.force_kn, target.tolerance_percent)
    nominal_mpa = gauge_mpa(target.force_kn, back_kn, area_mm2)
    low_mpa = gauge_mpa(low_kn, back_kn, area_mm2)
    high_mpa = gauge_mpa(high_kn, back_kn, area_mm2)
    ceiling_mpa = gauge_mpa(target.ceiling_kn, back_kn, area_mm2)
    unsure_mpa = press_uncertainty_mpa(
        press.friction_percent, target.force_kn, press.return_force_tolerance_kn, area_mm2
    )
    guard = guard_mpa(gauge.class_percent, gauge.span_mpa, gauge.graduation_mpa, unsure_mpa)
    tool = weakest(cone, plate)
    tooling_mpa = None if tool is None else gauge_mpa(tool.rated_force_kn, back_kn, area_mm2)
    press_rated_mpa = press.rated_pressure_bar * FACTOR["bar"]
    relief_mpa = press.relief_setting_bar * FACTOR["bar"]
    limit_mpa = never_exceed_mpa(
        guard, reads_to_mpa(gauge), ceiling_mpa, press_rated_mpa, tooling_mpa
    )
    window = dial_window(low_mpa, high_mpa, guard)
    usable = usable_window(window, limit_mpa, relief_mpa)
    cut_by: Cut = "relief-setting" if relief_mpa < limit_mpa else "never-exceed"
    expected = Window(low_pa=round(low_mpa * 1e6), high_pa=round(high_mpa * 1e6))
    pa = PA_PER_UNIT[gauge.unit]
    oil_mm3 = oil_volume_mm3(area_mm2, press.stroke_mm)
    return Pressing(
        nominal_mpa=nominal_mpa,
        low_mpa=low_mpa,
        high_mpa=high_mpa,
        ceiling_mpa=ceiling_mpa,
        press_uncertainty_mpa=unsure_mpa,
        guard_mpa=guard,
        window=window,
        usable=usable,
        cut_by=None if usable == window else cut_by,
        contact=usable_window(expected, limit_mpa, relief_mpa),
        marks=marks_in(usable, gauge.graduation, pa, gauge.span),
        stop_at=stop_mark(usable, nominal_mpa, gauge.graduation, pa, gauge.span),
        press_rated_mpa=press_rated_mpa,
        tooling_mpa=tooling_mpa,
        never_exceed_mpa=limit_mpa,
        limited_by=_limited_by(guard, gauge, ceiling_mpa, press_rated_mpa, tooling_mpa),
        relief_mpa=relief_mpa,
        relief_force_kn=force_kn(relief_mpa, back_kn, area_mm2),
        oil_volume_mm3=oil_mm3,
        pump_strokes=pump_strokes(oil_mm3, press.pump_full_stroke_cm3 * FACTOR["cm3"]),
    )


def _limited_by(
    guard_mpa: float, gauge: Gauge, ceiling_mpa: float, press_mpa: float, tooling_mpa: float | None
) -> Limit:
    limits: dict[Limit, float] = {
        "dial": reads_to_mpa(gauge),
        "press": press_mpa - guard_mpa,
        "ceiling": ceiling_mpa - guard_mpa,
    }
    if tooling_mpa is not None:
        limits["tooling"] = tooling_mpa - guard_mpa
    return min(limits, key=lambda limit: limits[limit])
