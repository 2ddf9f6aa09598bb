"""The press target of a setup as an answer tells it, with its working."""

from msgspec import UNSET

from catalog.answers.shapes import Dial, ForceBand, PressTarget
from catalog.answers.sheet import Sheet, given, plain
from catalog.calc.dial import STOP_MARK
from catalog.calc.gauge import DIAL_WINDOW, GUARD_BAND, NEVER_EXCEED, PRESS_UNCERTAINTY
from catalog.calc.press import (
    FORCE_BAND,
    GAUGE_READING,
    OIL_VOLUME,
    PUMP_STROKES,
    force_band_kn,
)
from catalog.quantities import FACTOR, Quantity, quantity
from catalog.rows import Gauge, Press, Target
from catalog.setup.pressing import Pressing
from catalog.setup.resolving import Setup


def press_target_of(setup: Setup) -> PressTarget | None:
    """Target of a setup, None where no row gives one."""
    target = setup.target
    if target is None:
        return None
    low_kn, high_kn = force_band_kn(target.force_kn, target.tolerance_percent)
    told = setup.units.force
    force = PressTarget(
        finish=target.finish,
        insert=target.insert,
        force=quantity(target.force_kn, "kN", told),
        force_band=ForceBand(low=quantity(low_kn, "kN", told), high=quantity(high_kn, "kN", told)),
        ceiling=quantity(target.ceiling_kn, "kN", told),
    )
    numbers, gauge = setup.pressing, setup.gauge
    if numbers is None or gauge is None:
        return force
    return PressTarget(
        finish=force.finish,
        insert=force.insert,
        force=force.force,
        force_band=force.force_band,
        ceiling=force.ceiling,
        dial=_dial(numbers, gauge) if target.finish == "at-pressure" else UNSET,
        expected_reading=quantity(numbers.nominal_mpa, "MPa", gauge.unit)
        if target.finish == "at-closed-gap"
        else UNSET,
        never_exceed=quantity(numbers.never_exceed_mpa, "MPa", gauge.unit),
        oil_volume=quantity(numbers.oil_volume_mm3, "mm3", "cm3"),
        pump_strokes=numbers.pump_strokes,
    )


def _dial(numbers: Pressing, gauge: Gauge) -> Dial:
    # A target is only told where no finding refuses it, and a window without a mark is refused.
    stop = 0.0 if numbers.stop_at is None else numbers.stop_at
    return Dial(
        stop_at=Quantity(stop, gauge.unit),
        low=quantity(numbers.usable.low_pa / 1e6, "MPa", gauge.unit),
        high=quantity(numbers.usable.high_pa / 1e6, "MPa", gauge.unit),
        marks=numbers.marks,
    )


def add_pressing(sheet: Sheet, setup: Setup) -> None:
    """Add the working of the target, and of its readings where press and gauge are known."""
    target = setup.target
    if target is None:
        return
    force = plain("F", target.force_kn, "kN", "force of the target", target.ref)
    share = plain("tolerance", target.tolerance_percent, "percent", "tolerance", target.ref)
    low_kn, high_kn = force_band_kn(target.force_kn, target.tolerance_percent)
    sheet.step(FORCE_BAND, "least force", low_kn, "kN", sheet.force, force, share)
    sheet.step(FORCE_BAND, "greatest force", high_kn, "kN", sheet.force, force, share)
    if setup.pressing is not None and setup.press is not None and setup.gauge is not None:
        _add_readings(sheet, target, setup.press, setup.pressing, low_kn, high_kn)
        if target.finish == "at-pressure":
            _add_window(sheet, target, setup.press, setup.gauge, setup.pressing)
        else:
            _add_guard(sheet, target, setup.press, setup.gauge, setup.pressing)
        _add_limit(sheet, setup, setup.press, setup.gauge, setup.pressing)
        _add_oil(sheet, setup.press, setup.pressing)


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


def _add_window(
    sheet: Sheet, target: Target, press: Press, gauge: Gauge, numbers: Pressing
) -> None:
    _add_guard(sheet, target, press, gauge, numbers)
    guard = given("g", numbers.guard_mpa, "MPa", sheet.dial, "guard", "guard band (worst case)")
    low = given("p_low", numbers.low_mpa, "MPa", sheet.dial, "least reading", "least reading")
    high = given(
        "p_high", numbers.high_mpa, "MPa", sheet.dial, "greatest reading", "greatest reading"
    )
    window = numbers.window
    sheet.step(DIAL_WINDOW, "window low", window.low_pa / 1e6, "MPa", sheet.dial, low, guard)
    sheet.step(DIAL_WINDOW, "window high", window.high_pa / 1e6, "MPa", sheet.dial, high, guard)
    if numbers.stop_at is not None:
        sheet.step(
            STOP_MARK,
            "mark to stop at",
            numbers.stop_at * FACTOR[gauge.unit],
            "MPa",
            gauge.unit,
            given("p_low", window.low_pa / 1e6, "MPa", sheet.dial, "window low", "window low"),
            given(
                "p_high",
                numbers.usable.high_pa / 1e6,
                "MPa",
                sheet.dial,
                "window high, never exceed",
                "window high",
            ),
            given("p", numbers.nominal_mpa, "MPa", sheet.dial, "nominal", "gauge reading"),
            plain("graduation", gauge.graduation, gauge.unit, "step of the dial", gauge.ref),
        )


def _add_limit(sheet: Sheet, setup: Setup, press: Press, gauge: Gauge, numbers: Pressing) -> None:
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
        plain("p_span", gauge.span, gauge.unit, "span of the gauge", gauge.ref),
    ]
    if numbers.tooling_mpa is not None:
        tools = [tool for tool in (setup.cone, setup.plate) if tool is not None]
        weakest = min(tools, key=lambda tool: tool.rated_force_kn)
        back = plain("F_return", press.return_force_kn, "kN", "return force", press.ref)
        area = plain("A", press.ram_area_cm2, "cm2", "ram area", press.ref)
        rated = plain("F", weakest.rated_force_kn, "kN", "rated force", weakest.ref)
        name = "reading at the tooling's rating"
        sheet.step(GAUGE_READING, name, numbers.tooling_mpa, "MPa", sheet.dial, rated, back, area)
        limits.append(given("p_tooling", numbers.tooling_mpa, "MPa", sheet.dial, "tooling", name))
    sheet.step(NEVER_EXCEED, "never exceed", numbers.never_exceed_mpa, "MPa", sheet.dial, *limits)


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
