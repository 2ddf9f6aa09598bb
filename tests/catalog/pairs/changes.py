"""Every single change of a sound setup: faults, facts left out, unknown ids, withdrawn rows."""

from collections.abc import Iterator, Mapping
from datetime import timedelta
from fractions import Fraction
from functools import lru_cache
from typing import Any

from catalog.facts import SETUP
from catalog.quantities import size_key
from catalog.rows import AnyRow
from tests.catalog.pairs.change import END, OUT, SIZE, Change, Kind
from tests.catalog.pairs.exact import PASCALS, exact
from tests.catalog.pairs.odd import apart
from tests.catalog.pairs.setups import DAY, Sound, bar, mm

_YES: Any = True
_NO: Any = False


@lru_cache(maxsize=16)
def changes_of(sound: Sound) -> tuple[Change, ...]:
    """Every change of one setup."""
    return (
        *_left_out(sound),
        *_unknown(sound),
        *_tube(sound),
        *_fitting(sound),
        *_service(sound),
        *_preparation(sound),
        *_tools(sound),
        *_readings(sound),
        *_withdrawn(sound),
    )


def _change(name: str, kind: Kind, values: Mapping[str, Any]) -> Change:
    return Change(name, kind, values, frozenset(values))


def _one(at: str, value: Any, name: str = "", kind: Kind = "fault") -> Change:
    return _change(name or f"{at} {value}", kind, {at: value})


def _left_out(sound: Sound) -> Iterator[Change]:
    fields = [fact.at for fact in SETUP]
    if sound.target.finish == "at-pressure":
        fields.append("/intended_reading")
    if sound.target.insert == "fitted":
        fields.append("/tube/insert")
    for at in fields:
        yield _one(at, OUT, f"without {at}", "left out")


def _unknown(sound: Sound) -> Iterator[Change]:
    for at in (
        "/tube/material",
        "/fitting/series",
        "/fitting/ring",
        "/tooling/cone",
        "/tooling/plate",
        "/press",
        "/gauge",
    ):
        yield _one(at, "no-such-id", f"unknown {at}", "unknown id")


def _tube(sound: Sound) -> Iterator[Change]:
    od_mm, wall_mm, index = sound.target.od_mm, sound.tube.wall_mm, sound.index
    tolerance_mm = sound.tube.od_tolerance_mm
    yield _one("/tube/wall", mm(od_mm / 2), "no bore")
    yield _one("/tube/wall", mm(wall_mm + 0.0137), "wall that no tube has")
    rowless = [
        tube.wall_mm
        for tube in index.tubes.values()
        if (tube.standard, size_key(tube.od_mm)) == (sound.tube.standard, size_key(od_mm))
        and not any(
            band.wall_min_mm <= tube.wall_mm <= band.wall_max_mm
            for band in index.bands(
                sound.target.series,
                od_mm,
                sound.material,
                sound.target.ring_style,
                sound.target.ring or "",
            )
        )
    ]
    if rowless:
        yield _one("/tube/wall", mm(rowless[0]), "wall that no target has")
    insert = index.inserts[sound.target.family, size_key(od_mm)]
    yield _one("/tube/wall", mm(insert.useless_below_mm * 0.7), "wall too thin")
    other = "none" if sound.target.insert == "fitted" else "fitted"
    yield _one("/tube/insert", other, "the other insert")
    yield _one("/tube/od", mm(od_mm + 0.002), "od near a size")
    yield _one("/tube/od", mm(od_mm + 1.37), "od of no size")
    yield _one("/tube/material", "copper-r220", "copper")
    yield _one("/tube/material", "n04400-stress-relieved", "grade not to be preset")
    for away in (-1.4, 1.4):
        yield _one("/tube/measured_od", mm(round(od_mm + away * tolerance_mm, 4)), f"od {away}")
    yield _one("/tube/measured_od", mm(od_mm + 0.9), "od far off")
    yield _one("/tube/caliper_uncertainty", mm(2.5), "a coarse caliper")
    for seam in ("welded-cold-drawn", "welded-as-is", "unknown"):
        if seam not in sound.material.seams or seam == "welded-as-is":
            yield _one("/tube/seam", seam)
    for coating in ("painted", "chromate", "hot-dip-galvanised"):
        yield _one("/tube/coating", coating)
    scale, most = sound.material.hardness_scale, sound.material.hardness_max
    if scale is None or most is None:
        hard = {"value": 130.0, "scale": "HV"}
        yield _one("/tube/hardness", hard, "hardness without a limit", "caution")
    else:
        yield _one("/tube/hardness", {"value": most + 30, "scale": scale}, "hard")
        wrong = "HB" if scale != "HB" else "HV"
        yield _one("/tube/hardness", {"value": 80.0, "scale": wrong}, "hardness in another scale")
    bent = {"/tube/bend": "near-end", "/tube/bends": [{"radius": mm(9 * od_mm)}]}
    yield _change("bend too near", "fault", {**bent, "/tube/straight_length": mm(3)})
    yield _one("/tube/bends", [{"radius": mm(1.37 * od_mm)}], "bend too tight")


def _fitting(sound: Sound) -> Iterator[Change]:
    target, index = sound.target, sound.index
    for series in index.series:
        if series != target.series:
            yield _one("/fitting/series", series)
    for family in ("carbon-steel", "stainless-steel", "nickel-copper", "copper"):
        if family != target.family:
            yield _one("/fitting/ring_material", family)
    rings = [
        r.id
        for r in index.rings.values()
        if r.series != target.series and r.material == target.family
    ]
    yield _one("/fitting/ring", rings[0], "ring of another series")
    style = "metal" if target.ring_style == "elastomer-sealed" else "elastomer-sealed"
    yield _one("/fitting/ring_style", style)
    yield _one("/fitting/ring_condition", "used")
    yield _one("/fitting/nut_source", "another store")
    weak = {"/fitting/other_end": "rated", "/fitting/other_end_rating": bar(5)}
    yield _change("weak other end", "fault", weak)


def _service(sound: Sound) -> Iterator[Change]:
    pressure = "/service/working_pressure"
    both = {
        pressure: bar(apart(1900, sound.world)),
        "/service/peak_pressure": bar(apart(1900, sound.world)),
    }
    yield _change("pressure too high", "fault", both)
    yield _one("/service/peak_pressure", bar(apart(1900, sound.world)), "peak too high")
    yield _one("/service/peak_pressure", bar(3), "peak below")
    yield _one("/service/proof_factor", 1.3, "low proof factor", "caution")
    yield _one("/service/proof_factor", 1.1, "proof factor too low")
    yield _one("/service/corrosion_allowance", mm(60), "no wall left")
    for temp_c in (-90, 330):
        yield _one("/service/temperature", {"value": temp_c, "unit": "degC"}, f"{temp_c} degC")
    for fluid in ("gas", "no-such-fluid"):
        yield _one("/service/fluid", fluid)
    yield _one("/service/pulsating", _YES, "pulsating")


def _preparation(sound: Sound) -> Iterator[Change]:
    at = "/preparation/"
    for cut in ("wheel-cutter", "abrasive-wheel", "laser"):
        yield _one(at + "cut_method", cut)
    yield _one(at + "out_of_square", {"value": 3, "unit": "deg"}, "askew")
    for field in ("deburred_inside", "deburred_outside", "cleaned", "tube_bottomed"):
        yield _one(at + field, _NO)
    wrong = [] if sound.target.ring_style == "metal" else ["ring", "cone"]
    yield _one(at + "lubricated", wrong)
    yield _one(at + "ring_edge_towards", "nut")
    yield _one(at + "nut_thread_towards", "away")


def _tools(sound: Sound) -> Iterator[Change]:
    index = sound.index
    for table, at, own in (
        (index.cones, "/tooling/cone", sound.cone.id),
        (index.plates, "/tooling/plate", sound.plate.id),
    ):
        ids = list(table)
        place = ids.index(own)
        for other in {ids[place - 1], ids[(place + 1) % len(ids)], ids[(place + 13) % len(ids)]}:
            yield _one(at, other)
    yield from (_one("/press", press) for press in index.presses if press != sound.press.id)
    yield from (_one("/gauge", gauge) for gauge in index.gauges if gauge != sound.gauge.id)
    yield _one("/tool_state/cone_uses_since_check", 50, "51st press")
    due = "/tool_state/gauge_calibration_due"
    yield _one(due, str(DAY - timedelta(days=1)), "gauge overdue")
    yield _one(due, str(DAY + timedelta(days=5)), "gauge due soon", "caution")
    yield _one("/on", str(DAY + timedelta(days=300)), "late in the year")
    yield _one("/tool_state/gauge_zero_checked", _NO, "zero not checked")


def _readings(sound: Sound) -> Iterator[Change]:
    numbers, gauge, unit = sound.numbers, sound.gauge, PASCALS[sound.gauge.unit]
    step = exact(gauge.graduation) * unit
    rated = exact(sound.press.rated_pressure_bar) * PASCALS["bar"]
    span = exact(gauge.span) * unit
    other = next(each for each in ("bar", "MPa", "psi") if each != gauge.unit)
    over = {
        "above never exceed": numbers.never_exceed * Fraction("1.0137"),
        "off the dial": span * Fraction("1.0137"),
        "past the press": rated * Fraction("1.0137"),
    }
    if sound.target.finish == "at-pressure":
        at, low, high = "/intended_reading", *numbers.window
        inside = (low * 3 + high * 2) / 5
        yield _one(at, sound.on_dial(low - step * Fraction("1.37")), "below the window")
        yield _one(at, sound.on_dial(high + step * Fraction("0.37")), "above the window")
        yield _one(at, sound.on_dial(numbers.nominal / 2), "half the reading")
    else:
        at, low, high = "/contact_reading", *numbers.expected
        inside = (low * 3 + high * 2) / 5
        yield _one(at, sound.on_dial(low * Fraction("0.713")), "contact too easy")
        if numbers.never_exceed > high:
            between = (high + numbers.never_exceed) / 2
            yield _one(at, sound.on_dial(between), "contact too hard")
        short = sound.on_dial((low + high) / 2)
        yield _one("/intended_reading", short, "intended short of contact")
    converted = {"value": float(f"{float(inside / PASCALS[other]):.7g}"), "unit": other}
    yield _one(at, converted, f"{at} in another unit")
    for name, reading in over.items():
        for field in ("/intended_reading", "/contact_reading"):
            yield _one(field, sound.on_dial(reading), f"{field} {name}")


def _withdrawn(sound: Sound) -> Iterator[Change]:
    target, index = sound.target, sound.index
    system = index.series[target.series].system
    of_size = index.rings_of(target.series, target.ring_style, target.family, target.od_mm)
    ring = next(row for row in of_size if target.ring in {None, row.id})
    size = index.sizes[target.series, size_key(target.od_mm)]
    prepared = index.limits(system, target.od_mm)
    assert prepared is not None
    read: tuple[tuple[AnyRow, tuple[str, ...]], ...] = (
        (target, (*SIZE, *END)),
        (sound.tube, SIZE),
        (sound.material, ("/tube/material",)),
        (index.inserts[target.family, size_key(target.od_mm)], ("/tube/od", "/tube/material")),
        (index.series[target.series], ("/fitting/series",)),
        (size, ("/tube/od", "/fitting/series")),
        (
            ring,
            ("/fitting/series", "/fitting/ring_style", "/fitting/ring_material", "/fitting/ring"),
        ),
        (sound.press, ("/press",)),
        (sound.gauge, ("/gauge",)),
        (sound.cone, ("/tooling/cone", "/tube/od", "/fitting/series")),
        (sound.plate, ("/tooling/plate", "/tube/od", "/fitting/series")),
        (prepared, ("/tube/od", "/fitting/series")),
        (index.cut_methods[sound.facts["/preparation/cut_method"]], ("/preparation/cut_method",)),
        (index.fluids[sound.facts["/service/fluid"]], ("/service/fluid",)),
    )
    for row, fields in read:
        name = f"withdrawn {row.table}"
        yield Change(name, "withdrawn", {}, frozenset(fields), (row.ref,))
    yield Change("withdrawn revision", "withdrawn", {}, frozenset(), whole=True)
    yield Change("not active yet", "fault", {}, frozenset(), early=True)
