"""Facts that a question must state, and ids that the revision must know."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.facts import stated
from catalog.rules.group import Group
from catalog.rules.raised import NOT_STATED, Raised, unknown_id
from catalog.setup.resolving import Setup
from catalog.setup.tube_end import TubeEnd


def fact_missing(setup: Setup) -> Iterator[Raised]:
    """Every required fact that the question leaves out is unknown."""
    for fact in setup.required:
        if fact.or_at and stated(setup.question, fact.or_at) is not UNSET:
            continue
        if stated(setup.question, fact.at) is UNSET:
            yield Raised(fact.code, fact.at, NOT_STATED)


def material_unknown(end: TubeEnd) -> Iterator[Raised]:
    """The grade must be one of the revision's materials."""
    facts = end.tube.facts
    if facts.material is not UNSET and end.tube.material is None:
        yield unknown_id(
            end, "tube.material-unknown", "/tube/material", facts.material, "materials"
        )


def series_unknown(end: TubeEnd) -> Iterator[Raised]:
    """The series must be one of the revision's series."""
    facts = end.fitting.facts
    if facts.series is not UNSET and end.fitting.series is None:
        yield unknown_id(end, "fitting.series-unknown", "/fitting/series", facts.series, "series")


def ring_unknown(end: TubeEnd) -> Iterator[Raised]:
    """The ring named, or the one that series, style and material ask for, must be in the rings."""
    facts = end.fitting.facts
    if end.fitting.rings:
        return  # where there are more than one, the question must name it
    if facts.ring is not UNSET:
        at, first = "/fitting/ring", end.fitting.ring_ids
        yield unknown_id(end, "fitting.ring-unknown", at, facts.ring, "rings", first)
    elif (
        end.fitting.series is not None
        and facts.ring_style is not UNSET
        and facts.ring_material is not UNSET
    ):
        message = (
            f"no ring set of series `{facts.series}`, style `{facts.ring_style}` and material "
            f"`{facts.ring_material}` in this revision"
        )
        yield Raised("fitting.ring-unknown", "/fitting/ring", message)


def cone_unknown(setup: Setup) -> Iterator[Raised]:
    """The forming cone named must be one of the revision's cones."""
    if setup.tooling is not None and setup.tooling.cone is not UNSET and setup.cone is None:
        yield unknown_id(
            setup, "tooling.cone-unknown", "/tooling/cone", setup.tooling.cone, "cones"
        )


def plate_unknown(setup: Setup) -> Iterator[Raised]:
    """The thrust plate named must be one of the revision's plates."""
    if setup.tooling is not None and setup.tooling.plate is not UNSET and setup.plate is None:
        yield unknown_id(
            setup, "tooling.plate-unknown", "/tooling/plate", setup.tooling.plate, "plates"
        )


def press_unknown(setup: Setup) -> Iterator[Raised]:
    """The press named must be one of the revision's presses."""
    if setup.press_id is not UNSET and setup.press is None:
        yield unknown_id(setup, "press.unknown", "/press", setup.press_id, "presses")


def gauge_unknown(setup: Setup) -> Iterator[Raised]:
    """The gauge named must be one of the revision's gauges."""
    if setup.gauge_id is not UNSET and setup.gauge is None:
        yield unknown_id(setup, "gauge.unknown", "/gauge", setup.gauge_id, "gauges")


def half_a_pair(setup: Setup) -> Iterator[Raised]:
    """A reading belongs to a press and a gauge: where one is named, the other must be too."""
    if any(fact.at == "/press" for fact in setup.required):
        return
    if setup.press_id is not UNSET and setup.gauge_id is UNSET:
        yield Raised("gauge.missing", "/gauge", f"gauge is not stated for press `{setup.press_id}`")
    if setup.gauge_id is not UNSET and setup.press_id is UNSET:
        yield Raised("press.missing", "/press", f"press is not stated for gauge `{setup.gauge_id}`")


STATED_RULES = (
    Group(Setup, (fact_missing,)),
    Group(TubeEnd, (material_unknown, series_unknown, ring_unknown), lasting=True),
    Group(Setup, (cone_unknown, plate_unknown, press_unknown, gauge_unknown, half_a_pair)),
)
