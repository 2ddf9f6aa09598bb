"""Targets that no press and gauge of the shop can do without a finding about the two."""

from collections.abc import Iterator, Mapping
from typing import Final

from catalog.findings import CODES
from catalog.index import Index
from catalog.plausibility.doubt import Doubt, Weight, doubt
from catalog.plausibility.naming import listed
from catalog.questions import AnswerUnits
from catalog.rows import Target
from catalog.rules import PAIR_RULES, raised_by
from catalog.setup.fitting import tooling_of
from catalog.setup.pair import pair_subjects
from catalog.setup.pressing import Pressing, pressing

_OF_THE_PAIR: Final = ("press.", "gauge.")
_AGAINST: Final = {"reject", "unknown"}


def coverage_doubts(now: Index, before: Index) -> Iterator[Doubt]:
    """Strong doubt about targets that have no good pair, weak where they had none before either."""
    bare = bare_targets(now)
    was = bare_targets(before) if bare else {}
    new = {ref: codes for ref, codes in bare.items() if ref not in was}
    yield from _told(new, "strong", "targets/bare")
    old = {ref: codes for ref, codes in bare.items() if ref in was}
    yield from _told(old, "weak", "targets/bare-before")


def bare_targets(index: Index) -> dict[str, tuple[str, ...]]:
    """Names of targets that no pair does well, with the codes of the pair that comes nearest."""
    found = {}
    for rows in index.targets.values():
        for target in rows:
            if codes := _of_nearest(index, target):
                found[target.ref] = codes
    return found


def _of_nearest(index: Index, target: Target) -> tuple[str, ...]:
    cone, plate = tooling_of(
        index, index.series.get(target.series), target.od_mm, target.family, {}
    )
    found = []
    for press, gauge in index.pairs:
        codes = _codes(pressing(target, press, gauge, cone, plate))
        if not codes:
            return ()  # one that does it well is enough
        found.append(codes)
    return min(found, key=_gravity, default=("press.no-pair",))


def _codes(numbers: Pressing) -> tuple[str, ...]:
    """What keeps a pair from doing it, and what of the two wants a look; a note is neither."""
    subjects = pair_subjects(AnswerUnits(), numbers.press, numbers.gauge, numbers)
    raised = {each.code for each in raised_by(PAIR_RULES, subjects)}
    return tuple(
        sorted(
            code
            for code in raised
            if CODES[code].severity in _AGAINST
            or (CODES[code].severity == "caution" and code.startswith(_OF_THE_PAIR))
        )
    )


def _gravity(codes: tuple[str, ...]) -> tuple[int, int]:
    return sum(CODES[code].severity in _AGAINST for code in codes), len(codes)


def _told(bare: Mapping[str, tuple[str, ...]], weight: Weight, about: str) -> Iterator[Doubt]:
    if bare:
        named = [f"`{ref}` ({', '.join(codes)})" for ref, codes in bare.items()]
        message = (
            f"no press with any of its gauges does {len(bare)} targets without a finding: "
            f"{listed(named)}"
        )
        remedy = "compare the force with its source, or say which press and gauge it is for"
        yield doubt("no-good-pair", weight, bare, "", message, remedy, about=about)
