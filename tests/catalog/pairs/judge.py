"""Rules 9 and 10 on one pair of changes: what an answer breaks."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from tests.catalog.pairs.asking import Answered, Form, answered
from tests.catalog.pairs.change import ROW_GONE, Change, is_a_pair
from tests.catalog.pairs.changes import changes_of
from tests.catalog.pairs.exact import PASCALS
from tests.catalog.pairs.forbidden import (
    converted,
    forbidden_by,
    of_target,
    off,
    own_limits,
    own_numbers,
)
from tests.catalog.pairs.search import Hit, Shown, forms, hits, told_in, without_echo
from tests.catalog.pairs.setups import Sound, twin_of

VERDICTS: Final = ("allowed", "allowed-with-cautions", "undetermined", "rejected")
REFUSED: Final = ("undetermined", "rejected")
READING_CODES: Final = {
    "press.reading-missing",
    "press.reading-unit",
    "press.outside-window",
    "press.above-ceiling",
}
LIMIT_CODES: Final = (
    *("press.relief-setting", "press.relief-above-span", "press.relief-far-above-span"),
    *("press.above-press-rating", "press.too-small", "gauge.above-span"),
    *("gauge.above-working-range", "gauge.protected"),
)
"""Codes whose findings name a limit of press or gauge."""
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
}
RATED_BY: Final = {"tubes", "materials", "series", "sizes", "rings", "revision"}
"""Tables that a rating of the assembly follows from."""
TWO_FORCES: Final = {"least force", "greatest force"}
"""Steps of the working up to the two forces."""


class Break(NamedTuple):
    """A rule that an answer breaks: by cause, where, and what was asked."""

    rule: str
    cause: str
    form: str
    setup: str
    changes: tuple[str, ...]
    told: str


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
        if self.form.name == "press target" and _is_another_question(one, other):
            return None
        if self.form.name != "setup check" and _is_caliper_of_nothing(one, other):
            return None
        both = answered(self.form, self.sound, one, other)
        broken = [
            *self._verdict_breaks(one, other, both),
            *self._told_breaks((one, other), both),
        ]
        return both.verdict, broken

    def alone_breaks(self, change: Change) -> list[Break]:
        """What a change alone breaks: no number beside a refusal."""
        return list(self._told_breaks((change,), self.single(change)))

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
        elif not gone and both.verdict not in self._expected(worst):
            yield self._break("10 (b)", cause, (one, other), _codes(both))

    def _expected(self, worst: str) -> set[str]:
        """The worse of two; a caution of the sound tools themselves may go with them."""
        sound = answered(self.form, self.sound).verdict
        if worst == sound == "allowed-with-cautions":
            return {worst, "allowed"}
        return {worst}

    def _told_breaks(self, changes: tuple[Change, ...], both: Answered) -> Iterator[Break]:
        withdrawn = {ref.partition("/")[0] for change in changes for ref in change.rows}
        if any(change.whole for change in changes):
            withdrawn.add("revision")
        if "revision.withdrawn" in both.codes and both.findings[0].code != "revision.withdrawn":
            yield self._break("9", "revision.withdrawn is not the first finding", changes, "")
        if both.verdict not in REFUSED:
            return
        if reading_alone(both):
            yield from self._reading_breaks(changes, both)
            return
        for cause, told in structure(both, withdrawn):
            yield self._break("9", cause, changes, told)
        for hit in self._hits(changes, both):
            yield self._break("9", f"{hit.number} in {hit.path}", changes, hit.text)

    def _hits(self, changes: tuple[Change, ...], both: Answered) -> list[Hit]:
        found = self._searched(self.sound, changes, both)
        if not found:
            return []
        # A dial number has other digits in the other world and stands there too; a number met by
        # chance, in the id of a row or in a rating, is not there or is the same.
        twin = twin_of(self.sound)
        if twin is None:
            return found
        theirs = tuple(
            next(c for c in changes_of(twin) if c.name == change.name) for change in changes
        )
        again = self._searched(twin, theirs, answered(self.form, twin, *theirs))
        same = {(hit.path, hit.text) for hit in again}
        there = {(hit.path, hit.number) for hit in again}
        return [h for h in found if h[:2] in there and (h.path, h.text) not in same]

    def _searched(self, sound: Sound, changes: tuple[Change, ...], both: Answered) -> list[Hit]:
        pick = self.form.name == "tooling pick"
        withdrawn = tuple(ref for change in changes for ref in change.rows)
        tables: list[Shown] = []
        for facts in (sound.facts, both.facts):
            tables += forbidden_by(sound, facts, both.verdict, every_pair=pick)
        tables.append(converted(sound, both))
        if sound.target.ref in withdrawn or any(change.whole for change in changes):
            tables.append(of_target(sound.target))
        tables.append(off(sound, both))
        answer, own = without_echo(both.builtins), own_numbers(both.facts)
        found = hits(answer, tables, own)
        if not found:
            return found
        # Some findings name a limit of the tools that the question names, and nothing else.
        beyond = set(hits(answer, tables, own | own_limits(sound.index, both.facts)))
        named = tuple(f"[{code}]/message" for code in LIMIT_CODES)
        return [h for h in found if h in beyond or not h.path.endswith(named)]

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
            unit = PASCALS[sound.gauge.unit]
            # A pressure is told in whole pascals, which a half in the last digit may turn on.
            shown = {*forms(float(value / unit)), *forms(float(round(value) / unit))}
            if told.isdisjoint(shown):
                codes = " ".join(sorted({f.code for f in both.findings if f.code in READING_CODES}))
                yield self._break(
                    "9, exception", f"no {name} in the findings {codes}", changes, " | ".join(texts)
                )

    def _break(self, rule: str, cause: str, changes: tuple[Change, ...], told: str) -> Break:
        names = tuple(change.name for change in changes)
        return Break(rule, cause, self.form.name, self.sound.name, names, told)


def _is_another_question(one: Change, other: Change) -> bool:
    """Whether a press target that is told neither fact judges less, and rightly.

    Without press and gauge it asks for the force alone; without a due day, or without a reading of
    the caliper, it has neither to judge.
    """
    fields = {*one.set, *other.set}
    left_out = {at for each in (one, other) if each.kind == "left out" for at in each.set}
    due, measured = "/tool_state/gauge_calibration_due", "/tube/measured_od"
    return (
        fields == {"/press", "/gauge"}
        or (due in left_out and "/on" in fields)
        or (measured in left_out and "/tube/caliper_uncertainty" in fields)
    )


def _codes(answer: Answered) -> str:
    return " ".join(f"{f.severity}:{f.code}" for f in answer.findings)


def reading_alone(answer: Answered) -> bool:
    """Whether nothing but the intended reading stands against pressing."""
    against = [f for f in answer.findings if f.severity in {"reject", "unknown"}]
    return all(f.code in READING_CODES and f.at == "/intended_reading" for f in against)


def _is_caliper_of_nothing(one: Change, other: Change) -> bool:
    """Whether a coarse caliper loses what it measured, where nobody asks for it."""
    at = {*one.set, *other.set}
    lost = any(c.takes_a_fact and "/tube/measured_od" in c.set for c in (one, other))
    return lost and "/tube/caliper_uncertainty" in at


def structure(answer: Answered, withdrawn: Collection[str]) -> Iterator[tuple[str, str]]:
    """Parts that may not stand in a refused answer, whatever their digits.

    `withdrawn` are the tables of which the answer reads a withdrawn row.
    """
    parts, rejected = answer.builtins, answer.verdict == "rejected"
    if "loads" in parts:
        yield "loads in a refused answer", str(parts["loads"])
    target = parts.get("target", {})
    if rejected and target:
        yield "target under rejected", str(target)
    for key in sorted(DIAL_KEYS & target.keys()):
        yield f"target/{key} in a refused answer", str(target[key])
    steps = {step["name"]: step["result"]["unit"] for step in parts.get("working", ())}
    for name, unit in steps.items():
        of_the_press = unit in {"kN", "lbf", "cm3", "1"} and not name.startswith("margin")
        if of_the_press and (rejected or name not in TWO_FORCES):
            yield f"working step `{name}` under {answer.verdict}", name
    rated = "assembly" in parts or "margin of the lowest limit" in steps
    if rejected and rated and not answer.codes & RATING_CODES:
        yield "assembly rating under rejected, which no finding names", str(parts.get("assembly"))
    if rated and RATED_BY.intersection(withdrawn):
        yield "assembly rating from a withdrawn row", str(parts.get("assembly"))
