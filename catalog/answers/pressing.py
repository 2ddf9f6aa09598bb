"""The press target of a setup as an answer tells it, with its working."""

from functools import lru_cache

from msgspec import UNSET, UnsetType, structs

from catalog.answers.shapes import (
    Conditions,
    Dial,
    ForceBand,
    PressTarget,
    ReadingBand,
)
from catalog.answers.sheet import Given, Sheet, given, plain
from catalog.calc.dial import MARKS_IN, STOP_MARK
from catalog.calc.gauge import (
    DIAL_END,
    DIAL_WINDOW,
    GAUGE_OVERLOAD,
    GUARD_BAND,
    NEVER_EXCEED,
    PRESS_UNCERTAINTY,
    USABLE_WINDOW,
)
from catalog.calc.press import (
    FORCE_BAND,
    GAUGE_READING,
    OIL_VOLUME,
    PRESS_FORCE,
    PUMP_STROKES,
    force_band_kn,
)
from catalog.index import FormulaGrades
from catalog.quantities import FACTOR, Quantity, quantity
from catalog.questions import AnswerUnits
from catalog.rows import Cone, Gauge, Plate, Press, Ring, Target
from catalog.setup.pressing import Pressing, overload_of, pressing, reads_to_mpa, weakest
from catalog.terms import Unit
from catalog.working import WorkingStep


@lru_cache(maxsize=8192)
def press_target_of(
    target: Target,
    ring: Ring | None,
    gauge: Gauge | None,
    numbers: Pressing | None,
    told: Unit,
    *,
    ceiling: bool,
) -> PressTarget:
    """Target as an answer tells it, with its readings where the numbers of a pair are given."""
    low_kn, high_kn = force_band_kn(target.force_kn, target.tolerance_percent)
    force = PressTarget(
        finish=target.finish,
        insert=target.insert,
        conditions=UNSET if ring is None else _conditions(target, ring),
        force=quantity(target.force_kn, "kN", told),
        force_band=ForceBand(low=quantity(low_kn, "kN", told), high=quantity(high_kn, "kN", told)),
        ceiling=quantity(target.ceiling_kn, "kN", told) if ceiling else UNSET,
    )
    if numbers is None or gauge is None:
        return force
    at_pressure = target.finish == "at-pressure"
    nominal = quantity(numbers.nominal_mpa, "MPa", gauge.unit)
    return structs.replace(
        force,
        dial=_dial(numbers, gauge) if at_pressure else UNSET,
        expected_reading=UNSET if at_pressure else nominal,
        expected_band=UNSET if at_pressure else _expected_band(numbers, gauge),
        never_exceed=quantity(numbers.never_exceed_mpa, "MPa", gauge.unit),
        oil_volume=quantity(numbers.oil_volume_mm3, "mm3", "cm3"),
        pump_strokes=numbers.pump_strokes,
    )


def forces_of(target: PressTarget) -> PressTarget:
    """Target without what holds on one press and gauge alone."""
    return structs.replace(
        target,
        dial=UNSET,
        expected_reading=UNSET,
        expected_band=UNSET,
        never_exceed=UNSET,
        oil_volume=UNSET,
        pump_strokes=UNSET,
    )


def _conditions(target: Target, ring: Ring) -> Conditions:
    return Conditions(
        lubricate=(*ring.lubricate, *(("thread",) if ring.oil_thread else ())),
        insert=target.insert,
        ring=ring.id,
        hold=UNSET if ring.hold_s is None else quantity(ring.hold_s, "s", "s"),
    )


def _dial(numbers: Pressing, gauge: Gauge) -> Dial | UnsetType:
    """Dial of a target, nothing where no mark is left to stop at."""
    if numbers.stop_at is None:
        return UNSET
    return Dial(
        stop_at=Quantity(numbers.stop_at, gauge.unit),
        low=quantity(numbers.usable.low_pa / 1e6, "MPa", gauge.unit),
        high=quantity(numbers.usable.high_pa / 1e6, "MPa", gauge.unit),
        marks=numbers.marks,
        cut_by=UNSET if numbers.cut_by is None else numbers.cut_by,
    )


def _expected_band(numbers: Pressing, gauge: Gauge) -> ReadingBand:
    return ReadingBand(
        low=quantity(numbers.contact.low_pa / 1e6, "MPa", gauge.unit),
        high=quantity(numbers.contact.high_pa / 1e6, "MPa", gauge.unit),
    )


@lru_cache(maxsize=8192)
def force_steps(
    grades: FormulaGrades, units: AnswerUnits, target: Target, *, ceiling: bool
) -> tuple[WorkingStep, ...]:
    """Working of the force band of a target, with its ceiling where that may be told."""
    sheet = Sheet(grades, units)
    force = plain("F", target.force_kn, "kN", "force of the target", target.ref)
    share = plain("tolerance", target.tolerance_percent, "percent", "tolerance", target.ref)
    low_kn, high_kn = force_band_kn(target.force_kn, target.tolerance_percent)
    sheet.step(FORCE_BAND, "least force", low_kn, "kN", sheet.force, force, share)
    top = plain("F_ceiling", target.ceiling_kn, "kN", "ceiling, never below it", target.ref)
    tops = (top,) if ceiling else ()
    sheet.step(FORCE_BAND, "greatest force", high_kn, "kN", sheet.force, force, share, *tops)
    return tuple(sheet.steps)


@lru_cache(maxsize=8192)
def dial_steps(
    grades: FormulaGrades,
    units: AnswerUnits,
    target: Target,
    press: Press,
    gauge: Gauge,
    cone: Cone | None,
    plate: Plate | None,
) -> tuple[WorkingStep, ...]:
    """Working of the readings of a target on a press and gauge."""
    sheet = Sheet(grades, units, gauge.unit)
    low_kn, high_kn = force_band_kn(target.force_kn, target.tolerance_percent)
    numbers = pressing(target, press, gauge, cone, plate)
    _add_readings(sheet, target, press, numbers, low_kn, high_kn)
    _add_guard(sheet, target, press, gauge, numbers)
    _add_limit(sheet, weakest(cone, plate), press, gauge, numbers)
    _add_relief(sheet, press, gauge, numbers)
    if target.finish == "at-pressure":
        _add_window(sheet, press, gauge, numbers)
    else:
        _add_contact(sheet, press, numbers)
    _add_oil(sheet, press, numbers)
    return tuple(sheet.steps)


def _add_readings(
    sheet: Sheet,
    target: Target,
    press: Press,
    numbers: Pressing,
    low_kn: float,
    high_kn: float,
) -> None:
    back = plain("F_return", press.return_force_kn, "kN", "return force", press.ref)
    area = plain("A", press.ram_area_cm2, "cm2", "ram area", press.ref)
    for name, kn, mpa, of, origin in (
        ("gauge reading", target.force_kn, numbers.nominal_mpa, "force", target.ref),
        ("least reading", low_kn, numbers.low_mpa, "least force", "least force"),
        ("greatest reading", high_kn, numbers.high_mpa, "greatest force", "greatest force"),
        ("reading at the ceiling", target.ceiling_kn, numbers.ceiling_mpa, "ceiling", target.ref),
    ):
        force = given("F", kn, "kN", sheet.force, of, origin)
        sheet.step(GAUGE_READING, name, mpa, "MPa", sheet.dial, force, back, area)


def _add_guard(sheet: Sheet, target: Target, press: Press, gauge: Gauge, numbers: Pressing) -> None:
    sheet.step(
        PRESS_UNCERTAINTY,
        "uncertainty of the press",
        numbers.press_uncertainty_mpa,
        "MPa",
        sheet.dial,
        plain("f", press.friction_percent, "percent", "friction of the press", press.ref),
        plain("F", target.force_kn, "kN", "force of the target", target.ref),
        plain("dF_return", press.return_force_tolerance_kn, "kN", "return force", press.ref),
        plain("A", press.ram_area_cm2, "cm2", "ram area", press.ref),
    )
    sheet.step(
        GUARD_BAND,
        "guard band (worst case)",
        numbers.guard_mpa,
        "MPa",
        sheet.dial,
        plain("class", gauge.class_percent, "percent", "class of the gauge", gauge.ref),
        plain("span", gauge.span, gauge.unit, "span of the gauge", gauge.ref),
        plain("graduation", gauge.graduation, gauge.unit, "step of the dial", gauge.ref),
        given(
            "u_press",
            numbers.press_uncertainty_mpa,
            "MPa",
            sheet.dial,
            "uncertainty of the press",
            "uncertainty of the press",
        ),
    )


def _add_relief(sheet: Sheet, press: Press, gauge: Gauge, numbers: Pressing) -> None:
    """Add what the press can do up to its relief setting, to the tooling and to the gauge."""
    sheet.step(
        PRESS_FORCE,
        "force at the relief setting",
        numbers.relief_force_kn,
        "kN",
        sheet.force,
        _relief(press),
        plain("A", press.ram_area_cm2, "cm2", "ram area", press.ref),
        plain("F_return", press.return_force_kn, "kN", "return force", press.ref),
    )
    if gauge.overload is None:
        span = plain("span", gauge.span, gauge.unit, "span of the gauge", gauge.ref)
        name = "overload of the gauge"
        sheet.step(GAUGE_OVERLOAD, name, overload_of(gauge), "MPa", sheet.dial, span)


def _relief(press: Press, symbol: str = "p") -> Given:
    return plain(symbol, press.relief_setting_bar, "bar", "relief setting", press.ref)


def _cut_off(sheet: Sheet, name: str, press: Press, numbers: Pressing, high: Given) -> None:
    """Add the upper end of readings, cut at never exceed and at the relief setting."""
    usable = numbers.contact if name == "expected high" else numbers.usable
    never = given(
        "p_max", numbers.never_exceed_mpa, "MPa", sheet.dial, "never exceed", "never exceed"
    )
    end_mpa = usable.high_pa / 1e6
    sheet.step(
        USABLE_WINDOW, name, end_mpa, "MPa", sheet.dial, high, never, _relief(press, "p_relief")
    )


def _add_contact(sheet: Sheet, press: Press, numbers: Pressing) -> None:
    high = given(
        "p_high", numbers.high_mpa, "MPa", sheet.dial, "greatest reading", "greatest reading"
    )
    _cut_off(sheet, "expected high", press, numbers, high)


def _add_window(sheet: Sheet, press: Press, gauge: Gauge, numbers: Pressing) -> None:
    guard = given("g", numbers.guard_mpa, "MPa", sheet.dial, "guard", "guard band (worst case)")
    low = given("p_low", numbers.low_mpa, "MPa", sheet.dial, "least reading", "least reading")
    high = given(
        "p_high", numbers.high_mpa, "MPa", sheet.dial, "greatest reading", "greatest reading"
    )
    window = numbers.window
    sheet.step(DIAL_WINDOW, "window low", window.low_pa / 1e6, "MPa", sheet.dial, low, guard)
    sheet.step(DIAL_WINDOW, "window high", window.high_pa / 1e6, "MPa", sheet.dial, high, guard)
    usable = numbers.usable
    high = given("p_high", window.high_pa / 1e6, "MPa", sheet.dial, "window high", "window high")
    _cut_off(sheet, "usable high", press, numbers, high)
    bounds = (
        given("p_low", usable.low_pa / 1e6, "MPa", sheet.dial, "window low", "window low"),
        given("p_high", usable.high_pa / 1e6, "MPa", sheet.dial, "usable high", "usable high"),
        plain("graduation", gauge.graduation, gauge.unit, "step of the dial", gauge.ref),
    )
    sheet.step(MARKS_IN, "marks in the window", float(numbers.marks), "1", "1", *bounds)
    if numbers.stop_at is not None:
        stop_mpa = numbers.stop_at * FACTOR[gauge.unit]
        nominal = given("p", numbers.nominal_mpa, "MPa", sheet.dial, "nominal", "gauge reading")
        sheet.step(STOP_MARK, "mark to stop at", stop_mpa, "MPa", gauge.unit, *bounds, nominal)


def _add_limit(
    sheet: Sheet, tool: Cone | Plate | None, press: Press, gauge: Gauge, numbers: Pressing
) -> None:
    limits = [
        given(
            "p_ceiling",
            numbers.ceiling_mpa,
            "MPa",
            sheet.dial,
            "reading at the ceiling",
            "reading at the ceiling",
        ),
        given("g", numbers.guard_mpa, "MPa", sheet.dial, "guard", "guard band (worst case)"),
        plain("p_press", press.rated_pressure_bar, "bar", "rating of the press", press.ref),
        _dial_end(sheet, gauge),
    ]
    if tool is not None and numbers.tooling_mpa is not None:
        back = plain("F_return", press.return_force_kn, "kN", "return force", press.ref)
        area = plain("A", press.ram_area_cm2, "cm2", "ram area", press.ref)
        rated = plain("F", tool.rated_force_kn, "kN", "rated force", tool.ref)
        name = "reading at the tooling's rating"
        sheet.step(GAUGE_READING, name, numbers.tooling_mpa, "MPa", sheet.dial, rated, back, area)
        limits.append(given("p_tooling", numbers.tooling_mpa, "MPa", sheet.dial, "tooling", name))
    sheet.step(NEVER_EXCEED, "never exceed", numbers.never_exceed_mpa, "MPa", sheet.dial, *limits)


def _dial_end(sheet: Sheet, gauge: Gauge) -> Given:
    """Last reading as an input, with a step of its own where a protector may stop the pointer."""
    span = plain("span", gauge.span, gauge.unit, "span of the gauge", gauge.ref)
    if gauge.protected_to is None:
        return structs.replace(span, symbol="p_span")
    name = "last reading of the dial"
    sheet.step(
        DIAL_END,
        name,
        reads_to_mpa(gauge),
        "MPa",
        sheet.dial,
        span,
        plain("p_protector", gauge.protected_to, gauge.unit, "setting of the protector", gauge.ref),
        plain("tolerance", gauge.protected_tolerance or 0.0, gauge.unit, "of it", gauge.ref),
    )
    return given("p_span", reads_to_mpa(gauge), "MPa", sheet.dial, name, name)


def _add_oil(sheet: Sheet, press: Press, numbers: Pressing) -> None:
    oil = numbers.oil_volume_mm3
    sheet.step(
        OIL_VOLUME,
        "oil for the full stroke",
        oil,
        "mm3",
        "cm3",
        plain("A", press.ram_area_cm2, "cm2", "ram area", press.ref),
        plain("s", press.stroke_mm, "mm", "stroke of the ram", press.ref),
    )
    sheet.step(
        PUMP_STROKES,
        "pump strokes for the full stroke",
        float(numbers.pump_strokes),
        "1",
        "1",
        given("V", oil, "mm3", "cm3", "oil for the full stroke", "oil for the full stroke"),
        plain("V_pump", press.pump_full_stroke_cm3, "cm3", "oil of one stroke", press.ref),
    )
