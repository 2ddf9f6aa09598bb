"""A target on one press and gauge: the reading, its window, the mark to stop at, the limit."""

from functools import lru_cache
from typing import Literal

from msgspec import Struct

from catalog.formulas import gauge as dial
from catalog.formulas import press as ram
from catalog.formulas.formula import PRESSURE
from catalog.formulas.gauge import pascals
from catalog.quantities import FACTOR, above
from catalog.rows import Cone, Gauge, Plate, Press, Target
from catalog.working import Num, Step, Working, cell, num, sources_of_steps

Limit = Literal["ceiling", "press", "tooling", "dial"]
"""What never exceed comes from."""
Cut = Literal["never-exceed", "relief-setting"]
"""What ends a window before the force band does."""


class Window(Struct, frozen=True, gc=False):
    """The acceptable readings of one gauge, both ends included; whole pascals in [MPa]."""

    low_mpa: float
    high_mpa: float

    @property
    def is_empty(self) -> bool:
        """Whether nothing can be read in the window; one of no width is empty."""
        return not above(self.high_mpa, self.low_mpa)

    def holds(self, mpa: float) -> bool:
        """Whether a reading [MPa] lies in the window."""
        return pascals(self.low_mpa) <= pascals(mpa) <= pascals(self.high_mpa)

    def up_to(self, limit_mpa: float) -> "Window":
        """What is left of the window up to a limit [MPa]."""
        high_mpa = dial.usable_high(p_high=self.high_mpa, p_max=limit_mpa, p_relief=limit_mpa)
        return Window(self.low_mpa, high_mpa)


class TargetForces(Struct, frozen=True, kw_only=True, gc=False, eq=False):
    """The forces between which a target presses its ring rightly.

    `ceiling_steps` say how far the ceiling is above them, where no press gives it a reading.
    """

    force_kn: Num
    low_kn: Num
    high_kn: Num
    ceiling_kn: Num
    steps: tuple[Step, ...]
    ceiling_steps: tuple[Step, ...]
    sources: tuple[str, ...]


class Pressing(Struct, frozen=True, kw_only=True, gc=False, eq=False):
    """Numbers of one target on one press with one gauge, and the steps that led to them.

    `window` is what the guard band leaves of the force band, `usable` what is left of it below
    never exceed and the relief setting, `contact` where contact is expected, None for a ring that
    is finished at a reading. `reach_mpa` is the last reading that the pointer is sure to reach,
    `stop_mpa` None where no mark can be stopped at.
    """

    target: Target
    press: Press
    gauge: Gauge
    cone: Cone | None
    plate: Plate | None
    nominal_mpa: Num
    low_mpa: Num
    high_mpa: Num
    ceiling_mpa: Num
    press_uncertainty_mpa: Num
    guard_mpa: Num
    reach_mpa: Num
    press_rated_mpa: Num
    tooling_mpa: Num | None
    never_exceed_mpa: Num
    relief_mpa: Num
    relief_force_kn: Num
    window: Window
    usable: Window
    contact: Window | None
    marks: int
    stop_mpa: Num | None
    oil_volume_mm3: Num
    pump_strokes: int
    steps: tuple[Step, ...]
    sources: tuple[str, ...]

    @property
    def cut_by(self) -> Cut | None:
        """What cuts the window, None where nothing does."""
        if self.usable == self.window:
            return None
        return "relief-setting" if self.relief_mpa < self.never_exceed_mpa else "never-exceed"

    @property
    def limited_by(self) -> Limit:
        """What never exceed comes from."""
        limits: dict[Limit, float] = {
            "dial": self.reach_mpa,
            "press": self.press_rated_mpa - self.guard_mpa,
            "ceiling": self.ceiling_mpa - self.guard_mpa,
        }
        if self.tooling_mpa is not None:
            limits["tooling"] = self.tooling_mpa - self.guard_mpa
        return min(limits, key=lambda limit: limits[limit])


def weakest(cone: Cone | None, plate: Plate | None) -> Cone | Plate | None:
    """Tool that bears the least, None where neither is known."""
    tools = (tool for tool in (cone, plate) if tool is not None)
    return min(tools, key=lambda tool: tool.rated_force_kn, default=None)


def overload_of(gauge: Gauge) -> float:
    """What a gauge survives [MPa]: by its row, else by the usual share of its span."""
    if gauge.overload is None:
        return dial.gauge_overload(span=gauge.span_mpa)
    return gauge.overload * FACTOR[gauge.unit]


def is_protected(gauge: Gauge) -> bool:
    """Whether a protector closes, tolerance included, before the gauge is lost."""
    if gauge.protected_to is None:
        return False
    closes_by = gauge.protected_to + (gauge.protected_tolerance or 0.0)
    return not above(closes_by * FACTOR[gauge.unit], overload_of(gauge))


@lru_cache(maxsize=8192)
def forces(target: Target) -> TargetForces:
    """TargetForces of a target."""
    w, above_it = Working(), Working()
    force = cell(target, "force_kn", "force of the target")
    ceiling = cell(target, "ceiling_kn", "ceiling of the target")
    band = {"F": force, "tolerance": cell(target, "tolerance_percent", "tolerance")}
    low = w.calc("least force", ram.least_force, **band)
    high = w.calc("greatest force", ram.greatest_force, **band)
    name = "room below the ceiling"
    above_it.calc(name, ram.room_below_ceiling, F_ceiling=ceiling, F_high=high)
    return TargetForces(
        force_kn=force,
        low_kn=low,
        high_kn=high,
        ceiling_kn=ceiling,
        steps=tuple(w.steps),
        ceiling_steps=tuple(above_it.steps),
        sources=sources_of_steps(w.steps),
    )


@lru_cache(maxsize=8192)
def pressing(
    target: Target, press: Press, gauge: Gauge, cone: Cone | None, plate: Plate | None
) -> Pressing:
    """Numbers of a target on a press and gauge, with the tooling that must bear the force.

    A pure function of rows, and a batch asks it again and again: it is remembered by row.
    """
    w = Working()
    ram_of = {
        "F_return": cell(press, "return_force_kn", "return force"),
        "A": cell(press, "ram_area_cm2", "ram area"),
    }

    def reading(name: str, force: Num) -> Num:
        return w.calc(name, ram.gauge_reading, F=force, **ram_of)

    def on_dial(value: float, of: str) -> Num:
        return num(value * FACTOR[gauge.unit], PRESSURE, of, gauge.ref)

    band = forces(target)
    nominal = reading("gauge reading", band.force_kn)
    low = reading("least reading", band.low_kn)
    high = reading("greatest reading", band.high_kn)
    ceiling = reading("reading at the ceiling", band.ceiling_kn)
    unsure = w.calc(
        "uncertainty of the press",
        dial.press_uncertainty,
        f=cell(press, "friction_percent", "friction of the press"),
        F=band.force_kn,
        dF_return=cell(press, "return_force_tolerance_kn", "tolerance of the return force"),
        A=ram_of["A"],
    )
    span = on_dial(gauge.span, "span of the gauge")
    graduation = on_dial(gauge.graduation, "graduation of the dial")
    guard = w.calc(
        "guard band (worst case)",
        dial.guard_band,
        class_=cell(gauge, "class_percent", "class of the gauge"),
        span=span,
        graduation=graduation,
        u_press=unsure,
    )
    reach = span
    if gauge.protected_to is not None:
        reach = w.calc(
            "last reading of the dial",
            dial.dial_end,
            span=span,
            p_protector=on_dial(gauge.protected_to, "setting of the protector"),
            tolerance=on_dial(gauge.protected_tolerance or 0.0, "tolerance of the protector"),
        )
    rated = cell(press, "rated_pressure_bar", "rating of the press")
    limits = {"p_ceiling": ceiling, "g": guard, "p_press": rated, "p_span": reach}
    tooling = None
    if (tool := weakest(cone, plate)) is not None:
        tool_force = cell(tool, "rated_force_kn", "rated force")
        tooling = limits["p_tooling"] = reading("reading at the tooling's rating", tool_force)
    never = w.calc("never exceed", dial.never_exceed, **limits)
    relief = cell(press, "relief_setting_bar", "relief setting")
    relief_force = w.calc("force at the relief setting", ram.press_force, p=relief, **ram_of)
    if gauge.overload is None:
        w.calc("overload of the gauge", dial.gauge_overload, span=span)

    # At contact the window decides nothing, so the working does not show it.
    at_pressure = target.finish == "at-pressure"
    v = w if at_pressure else Working()
    window_low = v.calc("window low", dial.window_low, p_low=low, g=guard)
    window_high = v.calc("window high", dial.window_high, p_high=high, g=guard)
    ends = {"p_max": never, "p_relief": relief}
    usable_high = v.calc("usable high", dial.usable_high, p_high=window_high, **ends)
    marked = {"p_low": window_low, "p_high": usable_high, "graduation": graduation}
    marks = v.calc("marks in the window", dial.marks_in, **marked)
    stop = v.calc("mark to stop at", dial.stop_mark, **marked, p=nominal) if marks else None
    contact = None
    if not at_pressure:
        latest = w.calc("expected high", dial.usable_high, p_high=high, **ends)
        contact = Window(pascals(low) / 1e6, latest)
    stroke = cell(press, "stroke_mm", "stroke of the ram")
    oil = w.calc("oil for the full stroke", ram.oil_volume, A=ram_of["A"], s=stroke)
    strokes = w.calc(
        "pump strokes for the full stroke",
        ram.pump_strokes,
        V=oil,
        V_pump=cell(press, "pump_full_stroke_cm3", "oil of one stroke"),
    )
    return Pressing(
        target=target,
        press=press,
        gauge=gauge,
        cone=cone,
        plate=plate,
        nominal_mpa=nominal,
        low_mpa=low,
        high_mpa=high,
        ceiling_mpa=ceiling,
        press_uncertainty_mpa=unsure,
        guard_mpa=guard,
        reach_mpa=reach,
        press_rated_mpa=rated,
        tooling_mpa=tooling,
        never_exceed_mpa=never,
        relief_mpa=relief,
        relief_force_kn=relief_force,
        window=Window(window_low, window_high),
        usable=Window(window_low, usable_high),
        contact=contact,
        marks=int(marks),
        stop_mpa=stop,
        oil_volume_mm3=oil,
        pump_strokes=int(strokes),
        steps=tuple(w.steps),
        sources=sources_of_steps(w.steps),
    )
