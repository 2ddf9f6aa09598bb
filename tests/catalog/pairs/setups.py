"""Setups of the odd revisions in which nothing is wrong: one for each target and each pair of tools.

Facts are kept flat, by the pointer of their field.
"""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from fractions import Fraction
from functools import cache
from typing import Any, NamedTuple

from catalog.index import Index
from catalog.rows import Cone, Gauge, Material, Plate, Press, Target, Tube
from tests.catalog.pairs.exact import PASCALS, Numbers, can_finish, exact, numbers_of
from tests.catalog.pairs.odd import odd_index

Facts = Mapping[str, Any]
DAY = date(2026, 3, 2)


class Sound(NamedTuple):
    """A setup without a fault, with its rows and its numbers."""

    world: int
    target: Target
    tube: Tube
    material: Material
    press: Press
    gauge: Gauge
    cone: Cone
    plate: Plate
    numbers: Numbers
    facts: Facts

    @property
    def index(self) -> Index:
        return odd_index(self.world)

    @property
    def name(self) -> str:
        return f"{self.target.ref} {self.press.id} {self.gauge.id}"

    def on_dial(self, pascals: Fraction) -> dict[str, Any]:
        """Reading in the unit of the dial, written with the digits that a caller would give."""
        told = float(f"{float(pascals / PASCALS[self.gauge.unit]):.7g}")
        return {"value": told, "unit": self.gauge.unit}


@cache
def sound_setups(world: int = 0) -> tuple[Sound, ...]:
    """Every target on every press and gauge that can do it, in the order of the tables."""
    index = odd_index(world)
    targets = [target for band in index.targets.values() for target in band]
    return tuple(
        sound
        for number, target in enumerate(targets)
        for pair_number, (press, gauge) in enumerate(index.pairs)
        if (sound := _sound(world, target, press, gauge, number + pair_number)) is not None
    )


@cache
def by_name(world: int) -> dict[str, Sound]:
    return {sound.name: sound for sound in sound_setups(world)}


def _sound(world: int, target: Target, press: Press, gauge: Gauge, turn: int) -> Sound | None:
    index = odd_index(world)
    system = index.series[target.series].system
    cone = next(
        c for c in index.cones.values() if (c.series, c.od_mm) == (target.series, target.od_mm)
    )
    plate = next(
        p for p in index.plates.values() if (p.system, p.od_mm) == (system, target.od_mm)
    )
    numbers = numbers_of(target, press, gauge, cone, plate)
    if not can_finish(target, press, gauge, numbers):
        return None
    if exact(cone.rated_force_kn) < exact(target.force_kn) * (
        1 + exact(target.tolerance_percent) / 100
    ):
        return None
    of_target = list(_tubes(index, target))
    material, tube = of_target[turn % len(of_target)]
    sound = Sound(world, target, tube, material, press, gauge, cone, plate, numbers, {})
    return sound._replace(facts=_facts(sound, turn))


def _tubes(index: Index, target: Target) -> Iterator[tuple[Material, Tube]]:
    for tube in index.tubes.values():
        if abs(tube.od_mm - target.od_mm) > 1e-4:
            continue
        if not target.wall_min_mm <= tube.wall_mm <= target.wall_max_mm:
            continue
        for material in index.materials.values():
            of_family = (material.family, material.standard) == (target.family, tube.standard)
            if material.preset and of_family:
                yield material, tube


def mm(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "mm"}


def bar(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "bar"}


def _facts(sound: Sound, turn: int) -> dict[str, Any]:
    target, numbers = sound.target, sound.numbers
    facts: dict[str, Any] = {
        "/tube/od": mm(target.od_mm),
        "/tube/wall": mm(sound.tube.wall_mm),
        "/tube/material": sound.material.id,
        "/tube/measured_od": mm(target.od_mm),
        "/tube/identified_by": "marking",
        "/tube/seam": sound.material.seams[0],
        "/tube/coating": "none",
        "/tube/insert": target.insert,
        "/tube/straight_length": mm(500),
        "/fitting/series": target.series,
        "/fitting/ring_style": target.ring_style,
        "/fitting/ring_material": target.family,
        "/fitting/ring_condition": "new",
        "/fitting/ring_source": "store",
        "/fitting/nut_source": "store",
        "/fitting/other_end": "same",
        "/service/working_pressure": bar(11),
        "/service/peak_pressure": bar(12),
        "/service/proof_factor": 1.5,
        # Of nickel-copper no strength is known above room temperature.
        "/service/temperature": {
            "value": 20 if target.family == "nickel-copper" else 60,
            "unit": "degC",
        },
        "/service/pulsating": False,
        "/service/fluid": "mineral-oil",
        "/service/corrosion_allowance": mm(0),
        "/tooling/cone": sound.cone.id,
        "/tooling/plate": sound.plate.id,
        "/press": sound.press.id,
        "/gauge": sound.gauge.id,
        "/preparation/cut_method": "toothed-saw",
        "/preparation/out_of_square": {"value": 0.5, "unit": "deg"},
        "/preparation/deburred_inside": True,
        "/preparation/deburred_outside": True,
        "/preparation/cleaned": True,
        "/preparation/lubricated": ["ring", "cone"] if target.ring_style == "metal" else [],
        "/preparation/ring_edge_towards": "tube-end",
        "/preparation/nut_thread_towards": "tube-end",
        "/preparation/tube_bottomed": True,
        "/on": str(DAY),
        "/tool_state/cone_uses_since_check": 3,
        "/tool_state/gauge_calibration_due": str(DAY + timedelta(days=200)),
        "/tool_state/gauge_zero_checked": True,
    }
    if sound.material.hardness_max is not None:
        hard = {"value": sound.material.hardness_max - 2, "scale": sound.material.hardness_scale}
        facts["/tube/hardness"] = hard
    if target.finish == "at-pressure":
        low, high = numbers.window
        # Seldom the mark itself: what the caller states is not searched for.
        between = low + (high - low) * Fraction(turn % 7 + 1, 9)
        at = numbers.stop_at if turn % 4 == 0 and numbers.stop_at is not None else between
        facts["/intended_reading"] = sound.on_dial(at)
    elif turn % 2:
        low, high = numbers.expected
        facts["/contact_reading"] = sound.on_dial((low + high) / 2)
    return facts


def nested(facts: Facts) -> dict[str, Any]:
    """Facts as a question is written."""
    question: dict[str, Any] = {}
    for pointer, value in facts.items():
        *groups, name = pointer[1:].split("/")
        part = question
        for group in groups:
            part = part.setdefault(group, {})
        part[name] = value
    return question
