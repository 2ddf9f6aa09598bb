"""The numbers that no refused answer may tell, recalculated from the rows."""

from collections.abc import Iterator
from decimal import ROUND_FLOOR, Context
from fractions import Fraction
from functools import lru_cache
from math import pi

from catalog.index import Index
from catalog.quantities import size_key
from catalog.rows import Cone, Gauge, Plate, Press, Target
from tests.catalog.pairs.asking import Answered
from tests.catalog.pairs.exact import PASCALS, exact, forces_of, last_reading, numbers_of
from tests.catalog.pairs.search import Own, Shown, show
from tests.catalog.pairs.setups import Facts, Sound


def own_numbers(facts: Facts) -> Own:
    """The caller's own numbers, as stated and as a message shows them."""
    own: Own = set()
    for value in facts.values():
        if isinstance(value, dict):
            for digits in (5, 6, 9, 17):
                told = float(f"{value['value']:.{digits}g}")
                own |= {(told, value.get("unit", "")), (told, "")}
        elif isinstance(value, int | float) and not isinstance(value, bool):
            own |= {(float(value), ""), (float(value), "1")}
    return own


def off(sound: Sound, answer: Answered) -> Shown:
    """By how much a contact is off: with the reading that was stated it gives the dial away.

    Where nothing but the contact is wrong it may be told.
    """
    shown: Shown = {}
    reading = answer.facts.get("/contact_reading")
    against = [f for f in answer.findings if f.severity in {"reject", "unknown"}]
    if reading is None or all(f.at == "/contact_reading" for f in against):
        return shown
    stated, numbers = exact(reading["value"]) * PASCALS[reading["unit"]], sound.numbers
    for name, limit in (
        ("never exceed", numbers.never_exceed),
        ("expected low", numbers.expected[0]),
        ("expected high", numbers.expected[1]),
    ):
        show(shown, f"{name} by its distance", abs(stated - limit), "pressure")
    return shown


def own_limits(index: Index, facts: Facts) -> Own:
    """Limits of the press and gauge named, which a finding may tell: none is a reading to make."""
    press, gauge = (
        index.presses.get(facts.get("/press", "")),
        index.gauges.get(facts.get("/gauge", "")),
    )
    own: Own = set()
    limits: list[tuple[float, str]] = []
    if press is not None:
        limits += [(press.relief_setting_bar, "bar"), (press.rated_pressure_bar, "bar")]
    if gauge is not None:
        share = gauge.working_range_percent / 100
        limits += [(gauge.span, gauge.unit), (gauge.span * share, gauge.unit)]
    for value, unit in limits:
        for other in PASCALS:
            # A limit is told rounded down, a setting to the nearest.
            number = f"{float(exact(value) * PASCALS[unit] / PASCALS[other]):.9g}"
            down = float(Context(prec=5, rounding=ROUND_FLOOR).create_decimal(number))
            for told in (float(f"{float(number):.5g}"), down):
                own |= {(told, other), (told, "")}
    return own


def converted(sound: Sound, answer: Answered) -> Shown:
    """The reading that was stated in another unit, on the dial's own scale."""
    shown: Shown = {}
    gauge = sound.index.gauges.get(answer.facts.get("/gauge", ""), sound.gauge)
    for at in ("/intended_reading", "/contact_reading"):
        reading = answer.facts.get(at)
        if reading is not None and reading["unit"] != gauge.unit:
            value = exact(reading["value"]) * PASCALS[reading["unit"]]
            show(shown, f"converted {at}", value, "pressure")
    return shown


@lru_cache(maxsize=256)
def of_target(target: Target) -> Shown:
    """Forces, ceiling and tolerance: nothing of them is told of a withdrawn target."""
    shown = dict(_forces(target))
    show(shown, "tolerance", exact(target.tolerance_percent), "percent")
    return shown


@lru_cache(maxsize=256)
def _forces(target: Target) -> Shown:
    shown: Shown = {}
    for name, newtons in forces_of(target).items():
        show(shown, name, newtons, "force")
    return shown


@lru_cache(maxsize=256)
def _ceiling(target: Target) -> Shown:
    shown: Shown = {}
    show(shown, "ceiling", forces_of(target)["ceiling"], "force")
    return shown


def forbidden_by(sound: Sound, facts: Facts, verdict: str, *, every_pair: bool) -> Iterator[Shown]:
    """Numbers that no refused answer to these facts may tell."""
    index = sound.index
    press = index.presses.get(facts.get("/press", ""), sound.press)
    gauge = index.gauges.get(facts.get("/gauge", ""), sound.gauge)
    pairs = index.pairs if every_pair else ((press, gauge),)
    tools: tuple[Cone | None, Plate | None] = sound.cone, sound.plate
    if not every_pair:
        cone, plate = facts.get("/tooling/cone", ""), facts.get("/tooling/plate", "")
        tools = index.cones.get(cone), index.plates.get(plate)
    for target in _targets(index, facts) or [sound.target]:
        yield _forces(target) if verdict == "rejected" else _ceiling(target)
        for each in pairs:
            yield dial_numbers(target, *each, *tools)
    yield _loads(sound, facts)


def _targets(index: Index, facts: Facts) -> list[Target]:
    """Rows for this end, with an insert and without."""
    material = index.materials.get(facts.get("/tube/material", ""))
    od, wall = facts.get("/tube/od"), facts.get("/tube/wall")
    style = facts.get("/fitting/ring_style")
    if material is None or od is None or wall is None or style is None:
        return []
    series, ring = facts.get("/fitting/series", ""), facts.get("/fitting/ring", "")
    bands = index.bands(series, od["value"], material, style, ring)
    return [b for b in bands if b.wall_min_mm <= wall["value"] <= b.wall_max_mm]


@lru_cache(maxsize=256)
def dial_numbers(
    target: Target, press: Press, gauge: Gauge, cone: Cone | None, plate: Plate | None
) -> Shown:
    """Every number of a dial, but for what is a limit of its own: a rating, a span, a relief."""
    numbers = numbers_of(target, press, gauge, cone, plate)
    own: Shown = {}
    for limit in (
        exact(press.rated_pressure_bar) * PASCALS["bar"],
        exact(press.relief_setting_bar) * PASCALS["bar"],
        exact(gauge.span) * PASCALS[gauge.unit],
        last_reading(gauge),
    ):
        show(own, "limit", limit, "pressure")
    shown: Shown = {}
    for name, pascals in numbers.told_nowhere_else():
        show(shown, name, pascals, "pressure")
    shown = {form: names for form, names in shown.items() if form not in own}
    show(shown, "oil", numbers.oil, "volume")
    show(shown, "force at the relief", numbers.at_relief, "force")
    return shown


def _loads(sound: Sound, facts: Facts) -> Shown:
    stated = (facts.get(f"/service/{name}_pressure") for name in ("working", "peak"))
    pressures = [float(p["value"]) * float(PASCALS[p["unit"]]) for p in stated if p is not None]
    if not pressures:
        return {}
    size = sound.index.sizes[sound.target.series, size_key(sound.target.od_mm)]
    factor = sound.index.series[sound.target.series].design_factor
    return _loads_at(max(pressures), size.od_mm, size.seal_diameter_mm, factor)


@lru_cache(maxsize=256)
def _loads_at(pascals: float, od_mm: float, seal_mm: float, factor: float) -> Shown:
    shown: Shown = {}
    for name, across_mm in (("separation force", od_mm), ("nut load", seal_mm)):
        newtons = pascals * pi / 4 * (across_mm / 1000) ** 2
        for times in (1.0, factor):
            show(shown, name, Fraction(newtons * times), "force")
    return shown
