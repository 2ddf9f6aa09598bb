"""What an answer rests on: its rows, their sources and grades, and what was taken as given."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Final, get_args

from msgspec import UNSET, UnsetType

from catalog.answers.shapes import Next
from catalog.answers.telling import CONTACT, Telling, is_contact_alone
from catalog.facts import (
    ASSUMED_CALIBRATION,
    ASSUMED_HARDNESS,
    ASSUMED_LEAST,
    ASSUMED_PEAK,
    ASSUMED_PRESSING,
    ASSUMED_SEAL,
    ASSUMED_SERVICE,
    Assumption,
    stated,
)
from catalog.findings import CODES, SEVERITIES, Finding
from catalog.index import Index
from catalog.provenance import SourceNote
from catalog.questions import PressTargetQuestion
from catalog.rows import AnyRow, Row
from catalog.rules.raised import NOT_STATED, Raised
from catalog.setup.resolving import Setup
from catalog.standing import Standing
from catalog.terms import Detail, StepId

_STEPS: Final[tuple[StepId, ...]] = get_args(StepId)
_FROM_THE_FORCE: Final = frozenset(
    {
        *("gauge.too-coarse", "gauge.no-mark-in-window", "gauge.above-span", "gauge.protected"),
        *("gauge.above-working-range", "tooling.force-rating", "tooling.relief-above-force-rating"),
        "hint.psi-as-bar",
    }
)
"""Beside those of the area `press`: that they are raised, or are not, gives the force away."""


def findings_of(
    index: Index, raised: Collection[Raised], telling: Telling, detail: Detail
) -> tuple[Finding, ...]:
    """Findings as told: what was withdrawn first, then by the steps of the bench, the data last.

    Within a step the gravest come first, in the order of the rules.
    """
    if telling == "nothing":
        raised = [each for each in raised if _stands(index.standing, each)]
    contact_alone = is_contact_alone(raised)
    found = []
    for each in raised:
        with_dial = telling == "dial" or (contact_alone and each.at == CONTACT)
        if message := (with_dial and each.with_dial) or each.message:
            found.append(finding_of(index, each, message, detail))
    return tuple(sorted(found, key=lambda finding: _PLACES[finding.code]))


def is_of_data(code: str) -> bool:
    """Whether a code is about what the tables rest on, and not about this tube end."""
    return code.startswith("data.")


_PLACES: Final = {
    code: (
        code != "revision.withdrawn",
        is_of_data(code),
        _STEPS.index(known.step),
        SEVERITIES.index(known.severity),
    )
    for code, known in CODES.items()
}
"""Place of each code among the findings of an answer."""


def _stands(standing: Standing, raised: Raised) -> bool:
    """Whether a finding says nothing of what was withdrawn, beside the withdrawal itself."""
    code = raised.code
    if code.startswith(("data.", "revision.")):
        return True
    of_force = code.startswith("press.") or code in _FROM_THE_FORCE
    if of_force and not code.endswith(("-missing", "-unknown")):
        return False
    if standing.whole is not None:
        return not raised.rows
    return not any(row.ref in standing.rows for row in raised.rows)


_SETTLED_AT = {
    "press.contact-too-easy": "/contact_checked",
    "press.contact-too-hard": "/contact_checked",
}


def next_of(index: Index, findings: Sequence[Finding]) -> Next | UnsetType:
    """The one thing to state or do next, in the order of the bench: of the gravest findings."""
    against = [f for f in findings if f.severity in {"reject", "unknown"}]
    if not against:
        return UNSET
    first = next((f for f in against if f.severity == "reject"), against[0])
    return Next(at=settled_at(first), do=index.cautions[first.code].remedy, code=first.code)


def settled_at(finding: Finding) -> str:
    """Field that settles a finding: where it is found, but for a contact that was looked at."""
    return _SETTLED_AT.get(finding.code, finding.at)


def rows_of_setup(setup: Setup) -> tuple[Row, ...]:
    """Every row that was read to reach the answer."""
    tube, fitting, rating, caliper = setup.tube, setup.fitting, setup.rating, setup.end.caliper
    rows: tuple[Row | None, ...] = (
        tube.material,
        tube.row,
        tube.insert_row,
        tube.coating,
        *(() if caliper is None else (caliper.own, *caliper.also_fits)),
        fitting.series,
        fitting.size,
        fitting.ring,
        setup.target,
        setup.press,
        setup.gauge,
        setup.cone,
        setup.plate,
        setup.limits,
        setup.cut,
        None if setup.service is None else setup.service.fluid,
        *(() if rating is None else (rating.strength, rating.derating)),
    )
    return tuple(row for row in rows if row is not None)


@lru_cache(maxsize=4096)
def data_raised(
    index: Index, rows: tuple[Row, ...], formula_sources: tuple[str, ...]
) -> tuple[Raised, ...]:
    """Cautions for what rests on memory, on second hand, or on the demonstration."""
    provenance = index.provenance
    stood: tuple[AnyRow, ...] = (*rows, *(index.sources[each] for each in formula_sources))
    told = [(row, provenance.bits[row.sources]) for row in stood]
    found: list[Raised] = []
    if resting := tuple(row for row, bits in told if bits & provenance.demonstration):
        message = "rests on rows invented for the demonstration: never press a real tube by it"
        found.append(Raised("data.demonstration", "", message, resting))
    if resting := tuple(row for row, bits in told if bits & provenance.memory):
        message = "rests on rows from memory or second hand: confirm them against the documents"
        found.append(Raised("data.memory", "", message, resting))
    return tuple(found)


def assumptions_of(setup: Setup) -> tuple[Assumption, ...]:
    """Facts that were taken as given because the question does not state them."""
    candidates: list[Assumption] = [*ASSUMED_PRESSING]
    material = setup.tube.material
    if material is not None and material.hardness_max is not None:
        candidates.append(ASSUMED_HARDNESS)
    if setup.gauge is not None and isinstance(setup.question, PressTargetQuestion):
        candidates.append(ASSUMED_CALIBRATION)
    if setup.service is not None:
        candidates += ASSUMED_SERVICE
        if setup.service.facts.pulsating is not True:
            candidates.append(ASSUMED_PEAK)
        if setup.fitting.facts.ring_style != "elastomer-sealed":
            candidates.append(ASSUMED_LEAST)
    found = unstated(setup.question, candidates)
    ring = setup.fitting.ring
    if setup.service is None or ring is None or ring.ring_style != "elastomer-sealed":
        return found
    if ring.seal_rated_pressure_bar is None:
        # Not a fact of the question but a blank of the row: no field of it can answer this.
        found = (*found, ASSUMED_SEAL)
    return found


def unstated(question: object, candidates: Iterable[Assumption]) -> tuple[Assumption, ...]:
    """Those of the candidates that a question does not state."""
    return tuple(e for e in candidates if stated(question, e.at) is UNSET)


def assumed_raised(assumptions: Sequence[Assumption]) -> Iterator[Raised]:
    """One caution for all that was taken as given."""
    if assumptions:
        taken = ", ".join(dict.fromkeys(each.text for each in assumptions))
        yield Raised("data.assumed", "", f"taken as given: {taken}")


def sources_of(
    index: Index, rows: Iterable[Row], formula_sources: Iterable[str]
) -> tuple[SourceNote, ...]:
    """Every source behind the rows and the formulas of an answer, by id."""
    named = (*(row.sources for row in rows), *((source,) for source in formula_sources))
    return index.provenance.notes_of(named)


@lru_cache(maxsize=8192)
def finding_of(index: Index, raised: Raised, message: str, detail: Detail) -> Finding:
    """Finding of what was raised, with its remedy; what it rests on in full detail alone."""
    code, remedy = raised.code, index.cautions[raised.code].remedy
    # What to do about a missing fact is to state it, so that is one sentence and not two.
    if message == NOT_STATED:
        message, remedy = remedy, ""
    elif code.endswith("missing"):
        message, remedy = f"{message}: {remedy}", ""
    basis: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    if detail == "full":
        basis = tuple(row.ref for row in raised.rows)
        sources = tuple(dict.fromkeys(each for row in raised.rows for each in row.sources))
    return Finding(
        code=code,
        severity=CODES[code].severity,
        step=CODES[code].step,
        at=raised.at,
        message=message,
        remedy=remedy,
        basis=basis,
        sources=sources,
    )
