"""Setups of the odd revisions in which nothing is wrong, for each target and pair of tools.

Facts are kept flat, by the pointer of their field.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

from catalog.index import Index
from catalog.rows import Cone, Gauge, Material, Plate, Press, Target, Tube
from tests.catalog.pairs.exact import PASCALS, Numbers, can_finish, exact, numbers_of
from tests.catalog.pairs.odd import apart, odd_index

Facts = Mapping[str, Any]
DAY = date(2026, 3, 2)


@dataclass(frozen=True, eq=False)
class Sound:
    """A setup without a fault, with its rows and its numbers; `number` is that of its target."""

    world: int
    number: int
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
def targets_of(world: int) -> tuple[Target, ...]:
    """Every target, in the order of the tables."""
    return tuple(target for band in odd_index(world).targets.values() for target in band)


def sound_setups(number: int) -> list[Sound]:
    """Setups of a target on every press and gauge that can do it."""
    target = targets_of(0)[number]
    return [
        sound
        for turn, (press, gauge) in enumerate(odd_index(0).pairs)
        if (sound := _sound(0, target, press, gauge, number, turn)) is not None
    ]


def one_of(number: int) -> Sound:
    """One sound setup of a target, its press and gauge by turns."""
    sounds = sound_setups(number)
    return sounds[number % len(sounds)]


@lru_cache(maxsize=16)
def twin_of(sound: Sound) -> Sound | None:
    """The same setup in the other world, None where it is not sound there."""
    world = 1 - sound.world
    index, target = odd_index(world), targets_of(world)[sound.number]
    pairs = [(press.id, gauge.id) for press, gauge in index.pairs]
    turn = pairs.index((sound.press.id, sound.gauge.id))
    return _sound(world, target, *index.pairs[turn], sound.number, turn)


def _sound(
    world: int, target: Target, press: Press, gauge: Gauge, number: int, pair_number: int
) -> Sound | None:
    turn = number + pair_number
    index = odd_index(world)
    system = index.series[target.series].system
    cone = next(
        c for c in index.cones.values() if (c.series, c.od_mm) == (target.series, target.od_mm)
    )
    plate = next(p for p in index.plates.values() if (p.system, p.od_mm) == (system, target.od_mm))
    numbers = numbers_of(target, press, gauge, cone, plate)
    if not can_finish(target, press, gauge, numbers):
        return None
    if exact(cone.rated_force_kn) < exact(target.force_kn) * (
        1 + exact(target.tolerance_percent) / 100
    ):
        return None
    of_target = _tubes(world, target)
    material, tube = of_target[turn % len(of_target)]
    sound = Sound(world, number, target, tube, material, press, gauge, cone, plate, numbers, {})
    return replace(sound, facts=_facts(sound, turn))


@cache
def _tubes(world: int, target: Target) -> list[tuple[Material, Tube]]:
    """Every grade with every tube that a target is for."""
    index = odd_index(world)
    ring = target.ring or ""
    tubes = [
        tube
        for tube in index.tubes.values()
        if abs(tube.od_mm - target.od_mm) < 1e-4
        and target.wall_min_mm <= tube.wall_mm <= target.wall_max_mm
    ]
    return [
        (material, tube)
        for tube in tubes
        for material in index.materials.values()
        if material.preset
        and (material.family, material.standard) == (target.family, tube.standard)
        and target in index.bands(target.series, target.od_mm, material, target.ring_style, ring)
    ]


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
        "/tube/bend": "none",
        "/tube/straight_length": mm(500),
        "/fitting/series": target.series,
        "/fitting/ring_style": target.ring_style,
        "/fitting/ring_material": target.family,
        "/fitting/ring_condition": "new",
        "/fitting/ring_source": "store",
        "/fitting/nut_source": "store",
        "/fitting/other_end": "same",
        "/service/working_pressure": bar(apart(11.037, sound.world)),
        "/service/peak_pressure": bar(apart(12.041, sound.world)),
        "/service/proof_factor": 1.5,
        # Above room temperature the strength of some grades is not known.
        "/service/temperature": {"value": 20, "unit": "degC"},
        "/service/least_temperature": {"value": 10, "unit": "degC"},
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
        "/preparation/lubricated": ["ring", "cone", "thread"]
        if target.ring_style == "metal"
        else ["thread"],
        "/preparation/ring_edge_towards": "tube-end",
        "/preparation/nut_thread_towards": "tube-end",
        "/preparation/tube_bottomed": True,
        "/on": str(DAY),
        "/tool_state/cone_uses_since_check": 3,
        "/tool_state/gauge_calibration_due": str(DAY + timedelta(days=200)),
        "/tool_state/gauge_zero_checked": True,
    }
    if facts["/tube/seam"] != "seamless":
        facts["/tube/quality_factor"] = 1.0
    if sound.material.hardness_max is not None:
        hard = {"value": sound.material.hardness_max - 2, "scale": sound.material.hardness_scale}
        facts["/tube/hardness"] = hard
    if target.ring is not None:
        facts["/fitting/ring"] = target.ring
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
