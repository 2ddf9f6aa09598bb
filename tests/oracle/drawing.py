"""Questions drawn by their kind and number: every target on every pair, with slips and omissions.

Only the form of a question and the rows are read here, so that nothing else can change what is
asked. A fact is kept by the pointer of its field. Whatever is drawn comes from `Random.random`,
whose numbers Python keeps the same from one version to the next.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import cache
from random import Random
from typing import Any, Final, TypeVar, get_args

from catalog import terms
from catalog.revision import rows_of
from catalog.rows import (
    Coating,
    Cone,
    CutMethod,
    Fluid,
    Gauge,
    Material,
    Plate,
    Press,
    Ring,
    Series,
    Size,
    Target,
    Tube,
)
from catalog.seed import shipped_revision

T = TypeVar("T")
Facts = dict[str, Any]
SEED: Final = 10
DAY: Final = date(2026, 3, 2)
SHIPPED: Final = shipped_revision()
TARGETS: Final = rows_of(SHIPPED, Target)
MATERIALS: Final = {row.id: row for row in rows_of(SHIPPED, Material)}
SYSTEMS: Final = {row.id: row.system for row in rows_of(SHIPPED, Series)}
GAUGES: Final = {row.id: row for row in rows_of(SHIPPED, Gauge)}
PAIRS: Final = [(press, GAUGES[g]) for press in rows_of(SHIPPED, Press) for g in press.gauges]
ENDS: Final = [
    (material, tube)
    for material in MATERIALS.values()
    for tube in rows_of(SHIPPED, Tube)
    if tube.standard == material.standard
]
PARTS: Final = {
    "press target": ("tube", "fitting", "press", "gauge", "on", "tool_state"),
    "pick item": ("tube", "fitting", "service", "quantity"),
    "setup check": (
        *("tube", "fitting", "service", "tooling", "press", "gauge", "intended_reading"),
        *("contact_reading", "contact_checked", "preparation", "on", "tool_state"),
    ),
}
UNITS: Final = {
    "metric": ("mm", "bar", "degC", "kN"),
    "si": ("mm", "MPa", "degC", "kN"),
    "inch": ("in", "psi", "degF", "lbf"),
}
PER_MPA: Final = {"bar": 10.0, "MPa": 1.0, "psi": 145.03773773}
KINDS_OF_UNIT: Final = [
    get_args(each) for each in (terms.LengthUnit, terms.PressureUnit, terms.TemperatureUnit)
]
LEAST: Final = {"mm": 1e-9, "in": 1e-9, "bar": 1e-9, "MPa": 1e-9, "psi": 1e-9, "deg": 0}
MOST: Final = {"deg": 90, "degC": 9999, "degF": 9999}
FACTORS: Final = (
    *(0.999, 1.001, 0.98, 1.02, 0.9, 1.1, 0.5, 1.5, 2, 0.1, 10, 25.4, 1 / 25.4, 0.068948),
    *(14.5038, 1e-9, 1e9),
)
SHARES: Final = (1e-9, 0.2, 0.4, 0.6, 0.8, 0.85, 1.0)
TIMES: Final = (1.0, 1.2, 1.25, 1.3, 1.5, 2.0, 4.0, 10.0)
USES: Final = (0, 1, 24, 25, 26, 39, 40, 41, 10_000_000)
DAYS: Final = (-900, -366, -30, -1, 0, 1, 29, 30, 31, 366, 900)
JUNK: Final = ("no-such-id", "x", "16", "E235+N")


def _ids(*kinds: type[Any]) -> tuple[str, ...]:
    return (*(row.id for kind in kinds for row in rows_of(SHIPPED, kind)), *JUNK)


POOLS: Final[dict[str, Sequence[Any]]] = {
    "material": (*_ids(Material), "St37.4", "316L", "TP316L"),
    "seam": get_args(terms.Seam),
    "identified_by": get_args(terms.IdentifiedBy),
    "quality_factor": SHARES,
    "weld_factor": SHARES,
    "y_coefficient": (0.0, 0.4, 0.5, 0.7, 1.0),
    "coating": (*_ids(Coating), "none"),
    "insert": get_args(terms.InsertState),
    "bend": get_args(terms.Bend),
    "hardness": [
        {"value": value, "scale": scale}
        for value in (20.0, 60.0, 65.0, 66.0, 90.0, 140.0, 250.0)
        for scale in get_args(terms.HardnessScale)
    ],
    "series": _ids(Series),
    "ring_style": get_args(terms.RingStyle),
    "ring_material": get_args(terms.Family),
    "ring": _ids(Ring),
    "ring_condition": get_args(terms.RingCondition),
    "ring_source": ("store 4", "another shop"),
    "nut_source": ("store 4", "another shop"),
    "other_end": get_args(terms.OtherEnd),
    "proof_factor": TIMES,
    "design_factor": (*TIMES, 20.0),
    "wall_under_tolerance_percent": (0.0, 7.5, 10.0, 12.5, 15.0, 60.0, 99.9),
    "fluid": _ids(Fluid),
    "cone": _ids(Cone),
    "plate": _ids(Plate),
    "press": _ids(Press),
    "gauge": _ids(Gauge),
    "cut_method": _ids(CutMethod),
    "lubricated": ([], ["ring"], ["thread"], ["ring", "cone"], ["ring", "cone", "thread"]),
    "ring_edge_towards": get_args(terms.RingEdge),
    "nut_thread_towards": get_args(terms.NutThread),
    "cone_uses_since_check": USES,
    "cone_uses": [{}, {"carbon_steel": 3}, {"stainless_steel": 24, "nickel_copper": 2}],
    "quantity": (1, 2, 12, 40, 400, 1_000_000),
    "methods": [[each] for each in get_args(terms.Method)],
}
"""What a field may say beside the right thing, by the last part of its pointer."""


class Draw:
    """What is drawn for one question, and the units that it is written in."""

    def __init__(self, *of: object) -> None:
        self._random = Random("/".join(map(str, (SEED, *of))))  # noqa: S311 - no secret
        self.system = self.one(("metric", "metric", "si", "inch"))
        self.length, self.pressure, self.temperature, self.force = UNITS[self.system]
        self._calm = self.chance(0.6)

    def chance(self, share: float) -> bool:
        return self._random.random() < share

    def one(self, of: Sequence[T]) -> T:
        return of[int(self._random.random() * len(of))]

    def mostly(self, of: Sequence[T]) -> T:
        """The first, which is right, in most questions; any in the others."""
        return of[0] if self._calm else self.one(of)

    def mm(self, value: float) -> Facts:
        told = round(value / 25.4, 7) if self.length == "in" else value
        return {"value": told, "unit": self.length}

    def bar(self, value: float) -> Facts:
        told = value / 10 * PER_MPA[self.pressure]
        return {"value": float(f"{told:.7g}"), "unit": self.pressure}

    def deg_c(self, value: float) -> Facts:
        told = round(value * 1.8 + 32, 6) if self.temperature == "degF" else value
        return {"value": told, "unit": self.temperature}

    def pool(self, name: str) -> Any:
        return self.one(POOLS[name])

    def day(self) -> str:
        return str(DAY + timedelta(days=self.one(DAYS)))


def question_of(kind: str, number: int) -> Facts:
    """Question of a kind as it is written in JSON, always the same for the same number."""
    draw = Draw(kind, number)
    if kind == "tooling pick":
        question = _work_order(draw, number)
    else:
        facts = _rating(draw, number) if kind == "tube rating" else _setup(draw, number, kind)
        question = nested(_spoiled(draw, facts))
        if draw.chance(0.1):
            question["client_ref"] = "order 7"
    if draw.chance(0.8):
        question["answer_in"] = dict(
            zip(("length", "pressure", "temperature", "force"), UNITS[draw.system], strict=True)
        )
    if draw.chance(0.3 if kind == "tooling pick" else 0.5):
        question["detail"] = "full"
    return question


def nested(facts: Facts) -> Facts:
    """Facts as a question is written."""
    question: Facts = {}
    for pointer, value in facts.items():
        *groups, name = pointer[1:].split("/")
        part = question
        for group in groups:
            part = part.setdefault(group, {})
        part[name] = value
    return question


@cache
def _ends(target: Target) -> list[tuple[Material, Tube]]:
    return [
        (material, tube)
        for material, tube in ENDS
        if material.family == target.family
        and target.grade in {None, material.id}
        and abs(tube.od_mm - target.od_mm) < 1e-4
        and target.wall_min_mm <= tube.wall_mm <= target.wall_max_mm
    ]


def _reading(target: Target, press: Press, gauge: Gauge) -> float:
    force_kn = target.force_kn + press.return_force_kn
    return force_kn * 10 / press.ram_area_cm2 * PER_MPA[gauge.unit]


@cache
def _likely(target: Target) -> list[tuple[Press, Gauge]]:
    """Pairs that may do it: a fine dial, neither relief nor span near; all where none may."""
    found = []
    for press, gauge in PAIRS:
        reading = _reading(target, press, gauge)
        half = reading * target.tolerance_percent / 100
        error = gauge.span * gauge.class_percent / 100 + gauge.graduation
        highest = min(press.relief_setting_bar * PER_MPA[gauge.unit] / 10, gauge.span)
        if half > error and reading + half < highest:
            found.append((press, gauge))
    return found or PAIRS


def _setup(draw: Draw, number: int, kind: str) -> Facts:
    """Facts of a setup that is right as far as one look at its rows can tell."""
    target = TARGETS[number % len(TARGETS)]
    pairs = PAIRS if number < len(TARGETS) * len(PAIRS) else _likely(target)
    press, gauge = pairs[number // len(TARGETS) % len(pairs)]
    material, tube = draw.one(_ends(target))
    facts = _end(draw, target, material, tube) | _service(draw, target)
    facts |= _bench(draw, target, press, gauge)
    if kind == "press target" and draw.chance(0.1):
        del facts["/press"], facts["/gauge"]
    return {at: value for at, value in facts.items() if at.split("/")[1] in PARTS[kind]}


def _end(draw: Draw, target: Target, material: Material, tube: Tube) -> Facts:
    facts: Facts = {
        "/tube/od": draw.mm(tube.od_mm),
        "/tube/wall": draw.mm(tube.wall_mm),
        "/tube/material": material.id,
        "/tube/measured_od": draw.mm(tube.od_mm + draw.mostly((0, 0, 0.02, -0.03, 0.07))),
        "/tube/seam": draw.one(material.seams),
        "/tube/bend": "none",
        "/fitting/series": target.series,
        "/fitting/ring_style": target.ring_style,
        "/fitting/ring_material": target.family,
    }
    if target.insert == "fitted" or draw.chance(0.5):
        facts["/tube/insert"] = target.insert
    if target.ring is not None:
        facts["/fitting/ring"] = target.ring
    more = {
        "/tube/identified_by": draw.pool("identified_by"),
        "/tube/coating": draw.mostly(("none", draw.pool("coating"))),
        "/tube/straight_length": draw.mm(draw.mostly((200, 80, 50, 36, 10))),
        "/tube/caliper_uncertainty": draw.mm(draw.mostly((0.02, 0, 0.005, 0.05))),
        "/tube/bends": [{"radius": draw.mm(tube.od_mm * draw.mostly((3, 2, 1.5, 4)))}],
        "/fitting/ring_condition": "new",
        "/fitting/ring_source": "store 4",
        "/fitting/nut_source": "store 4",
        "/fitting/other_end": draw.mostly(("same", "rated")),
        "/fitting/other_end_rating": draw.bar(draw.mostly((400, 250, 100))),
    }
    facts |= {at: value for at, value in more.items() if draw.chance(0.4)}
    if material.hardness_max is not None and draw.chance(0.5):
        hard = material.hardness_max + draw.mostly((-5, 0, 1))
        facts["/tube/hardness"] = {"value": hard, "scale": material.hardness_scale}
    if facts["/tube/seam"] != "seamless" and draw.chance(0.8):
        facts["/tube/quality_factor"] = draw.pool("quality_factor")
    return facts


@cache
def _rated_bar(series: str, od_mm: float) -> float:
    sizes = {(row.series, round(row.od_mm, 4)): row for row in rows_of(SHIPPED, Size)}
    return sizes[series, round(od_mm, 4)].rated_pressure_bar or 200.0


def _service(draw: Draw, target: Target) -> Facts:
    pressure = _rated_bar(target.series, target.od_mm) * draw.mostly((0.2, 0.1, 0.5, 0.8, 1, 1.05))
    facts: Facts = {
        "/service/working_pressure": draw.bar(pressure),
        "/service/temperature": draw.deg_c(draw.mostly((20, 50, 80, 100, 120, 150))),
        "/service/pulsating": draw.mostly((False, True)),
    }
    more = {
        "/service/peak_pressure": draw.bar(pressure * draw.mostly((1.1, 1, 1.3))),
        "/service/proof_factor": draw.mostly((1.5, draw.pool("proof_factor"))),
        "/service/least_temperature": draw.deg_c(draw.mostly((0, -60, -40, -20, 10))),
        "/service/fluid": draw.mostly(("mineral-oil", draw.pool("fluid"))),
        "/service/corrosion_allowance": draw.mm(draw.mostly((0, 0.1, 0.5))),
        "/quantity": draw.pool("quantity"),
    }
    return facts | {at: value for at, value in more.items() if draw.chance(0.5)}


def _bench(draw: Draw, target: Target, press: Press, gauge: Gauge) -> Facts:
    cones = [c for c in rows_of(SHIPPED, Cone) if c.series == target.series]
    plates = [p for p in rows_of(SHIPPED, Plate) if p.system == SYSTEMS[target.series]]
    marks = _reading(target, press, gauge) / gauge.graduation
    mark = max(round(marks) + draw.mostly((0, 1, -1, 0.3)), 1)
    at = "/contact_reading" if target.finish == "at-contact" else "/intended_reading"
    facts: Facts = {
        "/tooling/cone": draw.one([c.id for c in cones if abs(c.od_mm - target.od_mm) < 1e-4]),
        "/tooling/plate": draw.one([p.id for p in plates if abs(p.od_mm - target.od_mm) < 1e-4]),
        "/press": press.id,
        "/gauge": gauge.id,
        at: {"value": mark * gauge.graduation, "unit": gauge.unit},
        "/preparation/cut_method": draw.mostly(("toothed-saw", "band-saw")),
        "/preparation/out_of_square": {"value": draw.mostly((0.4, 0, 0.6, 1)), "unit": "deg"},
        "/preparation/deburred_inside": True,
        "/preparation/deburred_outside": True,
        "/preparation/cleaned": True,
        "/preparation/lubricated": ["ring", "cone", "thread"]
        if target.ring_style == "metal"
        else draw.one(([], ["thread"])),
        "/preparation/ring_edge_towards": "tube-end",
        "/preparation/nut_thread_towards": "tube-end",
        "/preparation/tube_bottomed": True,
        "/on": str(DAY),
        "/tool_state/gauge_calibration_due": str(DAY + timedelta(days=draw.mostly((200, 90, 29)))),
        draw.one(("/tool_state/cone_uses_since_check", "/tool_state/cone_uses")): 12,
    }
    if "/tool_state/cone_uses" in facts:
        families = ("carbon_steel", "stainless_steel", "nickel_copper")
        facts["/tool_state/cone_uses"] = dict.fromkeys(families[: draw.mostly((3, 1))], 4)
    if draw.chance(0.8):
        facts["/tool_state/gauge_zero_checked"] = True
    if target.finish == "at-contact" and draw.chance(0.3):
        facts["/contact_checked"] = True
    return facts


def _work_order(draw: Draw, number: int) -> Facts:
    lines = 60 if number % 500 == 499 else draw.one((1, 1, 1, 1, 2, 3))
    question: Facts = {"items": []}
    for line in range(lines):
        facts = _spoiled(draw, _setup(draw, number + 37 * line, "pick item"))
        if draw.chance(0.4):
            facts = {at: facts[at] for at in facts if not at.startswith("/service/")}
        question["items"].append(nested(facts))
    if draw.chance(0.7):
        question["on"] = str(DAY)
    if draw.chance(0.5):
        tools: Facts = {draw.one(sorted(GAUGES)): {"calibration_due": draw.day()} for _ in range(4)}
        tools |= {draw.pool("cone"): {"uses_since_check": draw.one(USES)} for _ in range(3)}
        question["tools"] = tools
    return question


def _rating(draw: Draw, number: int) -> Facts:
    material, tube = ENDS[number % len(ENDS)]
    facts: Facts = {"/tube/od": draw.mm(tube.od_mm), "/tube/wall": draw.mm(tube.wall_mm)}
    methods = [each for each in get_args(terms.Method) if draw.chance(0.5)]
    stress = draw.bar(10 * draw.one((60, 80, 117, 138, 235, 500)))
    more = {
        "/temperature": (0.5, draw.deg_c(draw.one((20, 20, 50, 100, 120, 121, 150, 200)))),
        "/allowable_stress": (0.25, stress),
        "/methods": (0.9, methods or [draw.one(get_args(terms.Method))]),
        "/pressure": (0.5, draw.bar(draw.one((50, 200, 315, 450, 1000)))),
        "/proof_factor": (0.3, draw.pool("proof_factor")),
        "/design_factor": (0.3, draw.pool("design_factor")),
        "/corrosion_allowance": (0.3, draw.mm(draw.one((0, 0.1, 0.5, 1)))),
        "/wall_under_tolerance_percent": (0.3, draw.pool("wall_under_tolerance_percent")),
        "/quality_factor": (0.8 if len(material.seams) > 1 else 0.2, draw.pool("quality_factor")),
        "/weld_factor": (0.2, draw.pool("weld_factor")),
        "/y_coefficient": (0.2, draw.pool("y_coefficient")),
        "/tube/material": (0.85, material.id),
    }
    return facts | {at: value for at, (share, value) in more.items() if draw.chance(share)}


def _spoiled(draw: Draw, facts: Facts) -> Facts:
    """Facts with none to three of them left out or said otherwise."""
    spoiled = dict(facts)
    for _ in range(draw.one((0, 1, 1, 2, 3))):
        at = draw.one(list(spoiled) or [""])
        if at and draw.chance(0.35):
            del spoiled[at]
        elif at:
            spoiled[at] = _otherwise(draw, at.split("/")[-1], spoiled[at])
    return spoiled


def _otherwise(draw: Draw, name: str, value: Any) -> Any:
    if name in POOLS:
        return draw.pool(name)
    if isinstance(value, bool):
        return not value
    if isinstance(value, str):
        return draw.day()
    if isinstance(value, list):
        return draw.one(([], [{}], [{"radius": draw.mm(1)}], [{"radius": draw.mm(500)}] * 3))
    number, unit = value["value"], value["unit"]
    others = [each for kind in KINDS_OF_UNIT if unit in kind for each in kind if each != unit]
    if others and draw.chance(0.2):
        return {"value": number, "unit": draw.one(others)}
    other = float(f"{(number or 0.5) * draw.one(FACTORS):.8g}")
    return {"value": max(LEAST.get(unit, -400), min(MOST.get(unit, 1e6), other)), "unit": unit}
