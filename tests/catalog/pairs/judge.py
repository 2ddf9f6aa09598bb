"""Rules 9 and 10 on one pair of changes: what an answer breaks."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from math import pi
from typing import Any, Final, NamedTuple

import msgspec

from catalog.answers.press_target import press_target
from catalog.answers.setup_check import setup_check
from catalog.answers.tooling_pick import tooling_pick
from catalog.findings import CODES
from catalog.index import Index
from catalog.quantities import size_key
from catalog.questions import PressTargetQuestion, SetupCheckQuestion, ToolingPickQuestion
from catalog.rows import Cone, Gauge, Plate, Press, Target
from tests.catalog.pairs.changes import OUT, ROW_GONE, Change, is_a_pair, with_standing
from tests.catalog.pairs.exact import PASCALS, exact, forces_of, last_reading, numbers_of
from tests.catalog.pairs.search import Hit, Shown, forms, hits, shown_as, told_in
from tests.catalog.pairs.setups import Facts, Sound, by_name, nested

VERDICTS: Final = ("allowed", "allowed-with-cautions", "undetermined", "rejected")
REFUSED: Final = ("undetermined", "rejected")
READING_CODES: Final = {
    "press.reading-missing",
    "press.reading-unit",
    "press.outside-window",
    "press.above-ceiling",
}
RATING_CODES: Final = {
    "service.over-tube-rating",
    "service.over-fitting-rating",
    "service.over-seal-rating",
    "service.over-other-end",
    "tube.yield-margin",
}
"""Codes whose findings name a limit of the assembly."""
DIAL_KEYS: Final = {
    "dial",
    "stop_at",
    "marks",
    "expected_reading",
    "expected_band",
    "never_exceed",
    "oil_volume",
    "pump_strokes",
    "ceiling",
    "loads",
}
TWO_FORCES: Final = {"least force", "greatest force"}
"""Steps of the working up to the two forces."""

Ask = Callable[[Index, Mapping[str, Any]], Any]


def _check(index: Index, facts: Mapping[str, Any]) -> Any:
    return setup_check(index, msgspec.convert(nested(facts), SetupCheckQuestion))


def _target(index: Index, facts: Mapping[str, Any]) -> Any:
    return press_target(index, msgspec.convert(nested(facts), PressTargetQuestion))


def _pick(index: Index, facts: Mapping[str, Any]) -> Any:
    item = nested(facts)
    answer = tooling_pick(index, msgspec.convert({"items": [item]}, ToolingPickQuestion))
    return answer.items[0]


class Form(NamedTuple):
    """A kind of question, and the fields of a setup that it has."""

    name: str
    ask: Ask
    fields: tuple[str, ...]
    not_asked: frozenset[str] = frozenset()

    def has(self, pointer: str) -> bool:
        return pointer.startswith(self.fields) and pointer not in self.not_asked

    def facts(self, facts: Facts) -> dict[str, Any]:
        return {at: value for at, value in facts.items() if self.has(at)}


FORMS: Final = (
    Form("setup check", _check, ("/",)),
    Form(
        "press target",
        _target,
        ("/tube/", "/fitting/", "/press", "/gauge", "/on", "/tool_state/"),
    ),
    Form("tooling pick", _pick, ("/tube/", "/fitting/", "/service/")),
)


class Answered(NamedTuple):
    """An answer as it is sent, and the question with the changes in it."""

    verdict: str
    findings: tuple[Any, ...]
    builtins: Any
    facts: Facts

    @property
    def codes(self) -> set[str]:
        return {finding.code for finding in self.findings}


class Break(NamedTuple):
    """A rule that an answer breaks: by cause, where, and what was asked."""

    rule: str
    cause: str
    form: str
    setup: str
    changes: tuple[str, ...]
    told: str


def changed_facts(form: Form, sound: Sound, changes: Iterable[Change]) -> dict[str, Any]:
    facts = form.facts(sound.facts)
    for change in changes:
        facts.update({at: value for at, value in change.set.items() if form.has(at)})
    return {at: value for at, value in facts.items() if value != OUT}


def answered(form: Form, sound: Sound, *changes: Change) -> Answered:
    facts = changed_facts(form, sound, changes)
    answer = form.ask(with_standing(sound.index, *changes), facts)
    return Answered(answer.verdict, answer.findings, msgspec.to_builtins(answer), facts)


@dataclass
class Judge:
    """Judges pairs of one setup; what each change does alone is asked once."""

    sound: Sound
    form: Form
    alone: dict[str, Answered] = field(default_factory=dict)

    def applies(self, change: Change) -> bool:
        """Whether the question has every field of a change."""
        return all(self.form.has(at) for at in change.set)

    def single(self, change: Change) -> Answered:
        if change.name not in self.alone:
            self.alone[change.name] = answered(self.form, self.sound, change)
        return self.alone[change.name]

    def pair(self, one: Change, other: Change) -> tuple[str, list[Break]] | None:
        """Verdict of a pair and what it breaks, None where the two are no pair."""
        if not (self.applies(one) and self.applies(other) and is_a_pair(one, other)):
            return None
        if self.form.name == "press target" and {"/press", "/gauge"} == {*one.set, *other.set}:
            return None  # without both it is another question: how great is the force
        both = answered(self.form, self.sound, one, other)
        broken = [
            *self._verdict_breaks(one, other, both),
            *self._told_breaks((one, other), both),
        ]
        return both.verdict, broken

    def alone_breaks(self, change: Change) -> list[Break]:
        """What a change alone breaks: no number beside a refusal."""
        return self._told_breaks((change,), self.single(change))

    def _verdict_breaks(self, one: Change, other: Change, both: Answered) -> Iterator[Break]:
        first, second = self.single(one), self.single(other)
        worst = max(first.verdict, second.verdict, key=VERDICTS.index)
        gone = any(
            change.takes_a_fact or self.single(change).codes & ROW_GONE for change in (one, other)
        )
        told = f"{first.verdict} + {second.verdict} = {both.verdict}"
        cause = f"{one.kind} + {other.kind}: {told}"
        if worst in REFUSED and both.verdict not in REFUSED:
            yield self._break("10 (a)", cause, (one, other), _codes(both))
        elif not gone and both.verdict != worst:
            yield self._break("10 (b)", cause, (one, other), _codes(both))

    def _told_breaks(self, changes: tuple[Change, ...], both: Answered) -> Iterator[Break]:
        withdrawn = [place for place, f in enumerate(both.findings) if f.code == "revision.withdrawn"]
        if withdrawn and withdrawn[0] != 0:
            yield self._break("9", "revision.withdrawn is not the first finding", changes, "")
        if both.verdict not in REFUSED:
            return
        if reading_alone(both):
            yield from self._reading_breaks(changes, both)
            return
        for cause, told in structure(both):
            yield self._break("9", cause, changes, told)
        for hit in self._hits(changes, both):
            yield self._break("9", f"{hit.number} in {hit.path}", changes, hit.text)

    def _hits(self, changes: tuple[Change, ...], both: Answered) -> list[Hit]:
        found = self._searched(self.sound, changes, both)
        if not found:
            return []
        # A number met by chance has other digits in the other world.
        twin = by_name(1 - self.sound.world).get(self.sound.name)
        if twin is None:
            return found
        theirs = tuple(
            next(c for c in changes_by_name(twin) if c.name == change.name) for change in changes
        )
        again = {hit[:2] for hit in self._searched(twin, theirs, answered(self.form, twin, *theirs))}
        return [hit for hit in found if hit[:2] in again]

    def _searched(self, sound: Sound, changes: tuple[Change, ...], both: Answered) -> list[Hit]:
        pick = self.form.name == "tooling pick"
        withdrawn = tuple(ref for change in changes for ref in change.rows)
        tables = []
        for facts in (sound.facts, both.facts):
            tables += forbidden_by(sound, facts, both.verdict, every_pair=pick)
        tables.append(_converted(sound, both))
        if sound.target.ref in withdrawn or any(change.whole for change in changes):
            tables += of_target_withdrawn(sound.target)
        return hits(without_echo(both.builtins), tables, own_numbers(both.facts))

    def _reading_breaks(self, changes: tuple[Change, ...], both: Answered) -> Iterator[Break]:
        """The exception: window and mark are what is asked for."""
        sound = self.sound
        if any(at in change.set for change in changes for at in ("/press", "/gauge")):
            return
        if {row for change in changes for row in change.rows}:
            return
        target = both.builtins.get("target", {})
        at_pressure = sound.target.finish == "at-pressure"
        for key in ("dial" if at_pressure else "expected_band", "never_exceed"):
            if key not in target:
                yield self._break("9, exception", f"target without {key}", changes, str(target))
                return
        if not at_pressure:
            return
        texts = [
            f.message for f in both.findings if f.code in READING_CODES and f.severity != "note"
        ]
        told = {n for _, _, n, _ in told_in(texts)}
        for name, value in (
            ("stop_at", sound.numbers.stop_at),
            ("window low", sound.numbers.window[0]),
            ("window high", sound.numbers.window[1]),
        ):
            assert value is not None
            if told.isdisjoint(forms(value / PASCALS[sound.gauge.unit])):
                codes = " ".join(sorted({f.code for f in both.findings if f.code in READING_CODES}))
                yield self._break(
                    "9, exception", f"no {name} in the findings {codes}", changes, " | ".join(texts)
                )

    def _break(self, rule: str, cause: str, changes: tuple[Change, ...], told: str) -> Break:
        names = tuple(change.name for change in changes)
        return Break(rule, cause, self.form.name, self.sound.name, names, told)


def _codes(answer: Answered) -> str:
    return " ".join(f"{f.severity}:{f.code}" for f in answer.findings)



@lru_cache(maxsize=4)
def _changes(world: int, name: str) -> tuple[Change, ...]:
    from tests.catalog.pairs.changes import changes_of

    return tuple(changes_of(by_name(world)[name]))


def changes_by_name(sound: Sound) -> tuple[Change, ...]:
    return _changes(sound.world, sound.name)


def reading_alone(answer: Answered) -> bool:
    """Whether nothing but the intended reading stands against pressing."""
    against = [f for f in answer.findings if f.severity in {"reject", "unknown"}]
    return all(f.code in READING_CODES and f.at == "/intended_reading" for f in against)


def structure(answer: Answered) -> Iterator[tuple[str, str]]:
    """Parts that may not stand in a refused answer, whatever their digits."""
    parts, rejected = answer.builtins, answer.verdict == "rejected"
    for key in sorted({"dial", "loads"} & parts.keys()):
        yield f"{key} in a refused answer", str(parts[key])
    target = parts.get("target", {})
    if rejected and target:
        yield "target under rejected", str(target)
    for key in sorted(DIAL_KEYS & target.keys()):
        yield f"target/{key} in a refused answer", str(target[key])
    steps = {step["name"]: step["result"]["unit"] for step in parts["working"]}
    for name, unit in steps.items():
        if unit in {"kN", "lbf", "cm3", "1"} and not name.startswith("margin"):
            if rejected or name not in TWO_FORCES:
                yield f"working step `{name}` under {answer.verdict}", name
    if rejected and not answer.codes & RATING_CODES:
        if "assembly" in parts:
            yield "assembly rating under rejected, which no finding names", str(parts["assembly"])
        if "margin of the lowest limit" in steps:
            yield "working of a rating under rejected, which no finding names", ""
    withdrawn = "revision.withdrawn" in answer.codes
    if withdrawn and ("assembly" in parts or "target" in parts or parts["working"]):
        yield "target, rating or working beside what was withdrawn", str(parts["working"])[:200]


def without_echo(answer: Any) -> Any:
    """An answer without what it only repeats of the question or of the revision."""
    left_out = {"revision", "rules", "scope", "on", "tool_state", "client_ref", "sources"}
    return {key: value for key, value in answer.items() if key not in left_out}


def own_numbers(facts: Facts) -> set[tuple[float, str]]:
    """The caller's own numbers, as stated and as a message shows them."""
    own: set[tuple[float, str]] = set()
    for value in facts.values():
        if isinstance(value, dict):
            for digits in (5, 6, 9, 17):
                told = float(f"{value['value']:.{digits}g}")
                own |= {(told, value.get("unit", "")), (told, "")}
        elif isinstance(value, int | float) and not isinstance(value, bool):
            own |= {(float(value), ""), (float(value), "1")}
    return own


def _converted(sound: Sound, answer: Answered) -> Shown:
    """The reading that was stated in another unit, on the dial's own scale."""
    shown: Shown = {}
    gauge = sound.index.gauges.get(answer.facts.get("/gauge", ""), sound.gauge)
    for at in ("/intended_reading", "/contact_reading"):
        reading = answer.facts.get(at)
        if reading is not None and reading["unit"] != gauge.unit:
            value = exact(reading["value"]) * PASCALS[reading["unit"]]
            shown |= shown_as(f"converted {at}", value, "pressure")
    return shown


@lru_cache(maxsize=4096)
def of_target_withdrawn(target: Target) -> tuple[Shown, ...]:
    shown = _forces(target)
    share = shown_as("tolerance", exact(target.tolerance_percent), "percent")
    return shown, share


@lru_cache(maxsize=4096)
def _forces(target: Target) -> Shown:
    shown: Shown = {}
    for name, newtons in forces_of(target).items():
        shown |= shown_as(name, newtons, "force")
    return shown


@lru_cache(maxsize=4096)
def _ceiling(target: Target) -> Shown:
    return shown_as("ceiling", forces_of(target)["ceiling"], "force")


def forbidden_by(
    sound: Sound, facts: Facts, verdict: str, *, every_pair: bool
) -> Iterator[Shown]:
    """Numbers that no refused answer to these facts may tell."""
    index = sound.index
    targets = _targets(index, facts) or [sound.target]
    pairs = (
        index.pairs
        if every_pair
        else (
            (
                index.presses.get(facts.get("/press", ""), sound.press),
                index.gauges.get(facts.get("/gauge", ""), sound.gauge),
            ),
        )
    )
    cone = index.cones.get(facts.get("/tooling/cone", ""))
    plate = index.plates.get(facts.get("/tooling/plate", ""))
    tools = (sound.cone, sound.plate) if every_pair else (cone, plate)
    for target in targets:
        yield _forces(target) if verdict == "rejected" else _ceiling(target)
        for press, gauge in pairs:
            yield dial_numbers(target, press, gauge, *tools)
    yield _loads(sound, facts)


def _targets(index: Index, facts: Facts) -> list[Target]:
    """Rows for this end, with an insert and without."""
    material = index.materials.get(facts.get("/tube/material", ""))
    od, wall = facts.get("/tube/od"), facts.get("/tube/wall")
    style = facts.get("/fitting/ring_style")
    if material is None or od is None or wall is None or style is None:
        return []
    bands = index.bands(facts.get("/fitting/series", ""), od["value"], material.family, style)
    return [b for b in bands if b.wall_min_mm <= wall["value"] <= b.wall_max_mm]


@lru_cache(maxsize=20_000)
def dial_numbers(
    target: Target, press: Press, gauge: Gauge, cone: Cone | None, plate: Plate | None
) -> Shown:
    """Every number of a dial, but for what is a limit of its own: a rating, a span, a relief."""
    numbers = numbers_of(target, press, gauge, cone, plate)
    own = {
        exact(press.rated_pressure_bar) * PASCALS["bar"],
        exact(press.relief_setting_bar) * PASCALS["bar"],
        exact(gauge.span) * PASCALS[gauge.unit],
        last_reading(gauge),
    }
    shown: Shown = {}
    for name, pascals in numbers.told_nowhere_else():
        if pascals not in own:
            shown |= shown_as(name, pascals, "pressure")
    shown |= shown_as("oil", numbers.oil, "volume")
    shown |= shown_as("force at the relief", numbers.at_relief, "force")
    return shown


def _loads(sound: Sound, facts: Facts) -> Shown:
    pressures = [
        facts[at]["value"] * float(PASCALS[facts[at]["unit"]])
        for at in ("/service/working_pressure", "/service/peak_pressure")
        if at in facts
    ]
    size = sound.index.sizes[sound.target.series, size_key(sound.target.od_mm)]
    if not pressures:
        return {}
    return _loads_at(
        max(pressures),
        size.od_mm,
        size.seal_diameter_mm,
        sound.index.series[sound.target.series].design_factor,
    )


@lru_cache(maxsize=4096)
def _loads_at(pascals: float, od_mm: float, seal_mm: float, factor: float) -> Shown:
    shown: Shown = {}
    for name, across_mm in (("separation force", od_mm), ("nut load", seal_mm)):
        newtons = pascals * pi / 4 * (across_mm / 1000) ** 2
        for times in (1.0, factor):
            shown |= shown_as(name, Fraction(newtons * times), "force")
    return shown
