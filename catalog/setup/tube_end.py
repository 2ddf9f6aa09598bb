"""A tube end and the ring on it, resolved: the rows that press target and rules rest on."""

from collections.abc import Mapping
from functools import lru_cache

from msgspec import UNSET, Struct

from catalog.index import Index, band_for
from catalog.questions import AnswerUnits, FittingFacts, TubeFacts
from catalog.rows import Cone, Plate, Preparation, Target
from catalog.setup.fitting import FittingSetup, resolve_fitting, tooling_of
from catalog.setup.tube import Caliper, TubeSetup, calipered, resolve_tube


class TubeEnd(Struct, frozen=True, kw_only=True, gc=False, eq=False):
    """What is known of a tube end and its fitting; None where question or revision do not say.

    `cone` and `plate` are those that the size asks for, whatever state they are in.

    INVARIANT: an end equals itself alone: what is found of it is found of all that it is made of.
    """

    units: AnswerUnits
    words: Mapping[str, tuple[str, ...]]
    tube: TubeSetup
    caliper: Caliper | None
    fitting: FittingSetup
    limits: Preparation | None
    bands: tuple[Target, ...]
    target: Target | None
    cone: Cone | None
    plate: Plate | None


class Tooled(Struct, frozen=True, kw_only=True, gc=False):
    """A tube end with the cone and plate that it is pressed with, None where not known.

    `is_picked` says that they are those that the size asks for, and nobody named them.
    """

    end: TubeEnd
    cone: Cone | None
    plate: Plate | None
    is_picked: bool


@lru_cache(maxsize=4096)
def tube_end(index: Index, units: AnswerUnits, tube: TubeFacts, fitting: FittingFacts) -> TubeEnd:
    """Tube end of a question on an index.

    A shop presses the same ends again and again: it is remembered by what is stated of it.
    """
    ended = resolve_tube(index, tube)
    fitted = resolve_fitting(index, fitting, ended.od_mm)
    system = None if fitted.series is None else fitted.series.system
    limits = None
    if system is not None and ended.od_mm is not None:
        limits = index.limits(system, ended.od_mm)
    bands = _bands(index, ended, fitted)
    # Without the series the limits are not known; the question is then undetermined anyway.
    uncertainty_mm = 0.0 if limits is None else limits.caliper_uncertainty_mm
    family = None if ended.material is None else ended.material.family
    cone, plate = tooling_of(index, fitted.series, ended.od_mm, family, {})
    return TubeEnd(
        units=units,
        words=index.words,
        tube=ended,
        caliper=calipered(index, ended, uncertainty_mm),
        fitting=fitted,
        limits=limits,
        bands=bands,
        target=_target(bands, ended, fitted),
        cone=cone,
        plate=plate,
    )


def _bands(index: Index, tube: TubeSetup, fitting: FittingSetup) -> tuple[Target, ...]:
    facts = fitting.facts
    if (
        facts.series is UNSET
        or facts.ring_style is UNSET
        or tube.od_mm is None
        or tube.material is None
    ):
        return ()
    ring = "" if fitting.ring is None else fitting.ring.id
    return index.bands(facts.series, tube.od_mm, tube.material, facts.ring_style, ring)


def _target(bands: tuple[Target, ...], tube: TubeSetup, fitting: FittingSetup) -> Target | None:
    if tube.insert is None or tube.wall_mm is None or tube.material is None:
        return None
    ring = fitting.ring
    if ring is None and len(fitting.rings) > 1:
        return None  # each set has a force of its own
    # The force of a row is that of a ring of the tube's own metal; a harder one cuts otherwise. A
    # ring that is not meant for this tube is refused, and keeps its row for what else is wrong.
    family = tube.material.family
    if ring is not None and ring.material != family and family in ring.tube_families:
        return None
    return band_for(bands, tube.wall_mm, tube.insert)
