"""The press target of a setup in the units of the answer."""

from functools import lru_cache

from msgspec import UNSET, UnsetType, structs

from catalog.answers.shapes import Conditions, Dial, ForceBand, PressTarget, ReadingBand
from catalog.index import Index
from catalog.quantities import quantity
from catalog.questions import AnswerUnits
from catalog.rows import Ring, Target
from catalog.setup.pressing import Pressing, Window, forces
from catalog.terms import PressureUnit, Unit
from catalog.working import WorkingStep, in_units


@lru_cache(maxsize=8192)
def press_target_of(
    target: Target, ring: Ring | None, numbers: Pressing | None, unit: Unit, *, ceiling: bool
) -> PressTarget:
    """Target with its forces in `unit`, and its readings where the numbers of a pair are given."""
    band = forces(target)
    force = PressTarget(
        finish=target.finish,
        insert=target.insert,
        conditions=UNSET if ring is None else _conditions(target, ring),
        force=quantity(band.force_kn, "kN", unit),
        force_band=ForceBand(
            low=quantity(band.low_kn, "kN", unit), high=quantity(band.high_kn, "kN", unit)
        ),
        ceiling=quantity(band.ceiling_kn, "kN", unit) if ceiling else UNSET,
    )
    if numbers is None:
        return force
    dial, contact = numbers.gauge.unit, numbers.contact
    return structs.replace(
        force,
        dial=_dial(numbers) if contact is None else UNSET,
        expected_reading=UNSET if contact is None else quantity(numbers.nominal_mpa, "MPa", dial),
        expected_band=UNSET if contact is None else _band(contact, dial),
        never_exceed=quantity(numbers.never_exceed_mpa, "MPa", dial),
        oil_volume=quantity(numbers.oil_volume_mm3, "mm3", "cm3"),
        pump_strokes=numbers.pump_strokes,
    )


@lru_cache(maxsize=4096)
def force_steps(
    index: Index, target: Target, units: AnswerUnits, *, ceiling: bool
) -> tuple[WorkingStep, ...]:
    """Working of the forces of a target, with its ceiling where no reading tells it."""
    band = forces(target)
    steps = (*band.steps, *band.ceiling_steps) if ceiling else band.steps
    return in_units(steps, index.sources, units)


@lru_cache(maxsize=1024)
def reading_steps(index: Index, numbers: Pressing, units: AnswerUnits) -> tuple[WorkingStep, ...]:
    """Working of a target on a press and gauge; ten kilobytes, so that fewer are remembered."""
    return in_units(numbers.steps, index.sources, units, numbers.gauge.unit)


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


def _dial(numbers: Pressing) -> Dial | UnsetType:
    """Dial of a target, nothing where no mark is left to stop at."""
    if numbers.stop_mpa is None:
        return UNSET
    unit = numbers.gauge.unit
    window = _band(numbers.usable, unit)
    return Dial(
        stop_at=quantity(numbers.stop_mpa, "MPa", unit),
        low=window.low,
        high=window.high,
        marks=numbers.marks,
        cut_by=numbers.cut_by or UNSET,
    )


def _band(window: Window, unit: PressureUnit) -> ReadingBand:
    return ReadingBand(
        low=quantity(window.low_mpa, "MPa", unit), high=quantity(window.high_mpa, "MPa", unit)
    )
