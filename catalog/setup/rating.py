"""What an assembly carries: tube, tube yield, fitting and seal, each by its own formula."""

from collections.abc import Mapping
from typing import Literal

from msgspec import UNSET, Struct, structs

from catalog.formulas.assembly import derated, margin, proof_limit
from catalog.formulas.formula import LENGTH, PERCENT, PLAIN, PRESSURE
from catalog.formulas.tube import asme_b31_3, asme_b31_3_holds, design_stress
from catalog.formulas.wall import bent_wall, din_2413_under
from catalog.index import Index
from catalog.quantities import above, in_mpa
from catalog.questions import AnswerUnits
from catalog.rows import Derating, Preparation, Strength
from catalog.setup.fitting import FittingSetup
from catalog.setup.methods import WAYS, Way
from catalog.setup.service import ServiceSetup
from catalog.setup.tube import UNDER, TubeSetup
from catalog.working import FROM_FORMULA, Num, Step, Working, cell, num

StaticMethod = Literal["iso-10763", "asme-b31.3"]
Limited = tuple[str, Num, str]
"""A limit: what it is of, the pressure, the method."""
_QUALITY_AT = "/tube/quality_factor"


class TubeLimits(Struct, frozen=True, kw_only=True):
    """Limits of a tube, straight or bent; None where one does not apply or cannot be told.

    The nominal wall less corrosion counts in the static default, as ISO 10763 has it; DIN 2413,
    ASME B31.3 and the yield margin take the least wall that the tolerance allows. While the quality
    factor of a weld is not stated, `static_mpa` and `pulsating_mpa` are what the tube carries at
    the most: they refuse, and are neither limits of the assembly nor told.
    """

    static_method: StaticMethod
    wall_mm: Num | None
    least_wall_mm: Num | None
    din_wall_mm: Num | None
    static_mpa: Num | None
    pulsating_mpa: Num | None
    yield_at_mpa: Num | None
    yield_limit_mpa: Num | None

    def carries(self, mpa: float) -> bool:
        """Whether the tube carries a pressure, as far as it is rated."""
        rated = (self.static_mpa, self.pulsating_mpa, self.yield_limit_mpa)
        return all(limit is None or not above(mpa, limit) for limit in rated)


class Rating(TubeLimits, frozen=True, kw_only=True):
    """Limits of an assembly, and the `margin` of the lowest once every one is known."""

    strength: Strength | None
    derating: Derating | None
    quality: float | None
    fitting_mpa: Num | None
    seal_mpa: Num | None
    other_end_mpa: Num | None
    margin: Num | None = None
    steps: tuple[Step, ...] = ()

    @property
    def limits(self) -> tuple[Limited, ...]:
        """Every limit of this end that is known."""
        of_tube = (
            ("tube", self.static_mpa, self.static_method),
            ("tube", self.pulsating_mpa, "din-2413-pulsating"),
        )
        told = (
            *(of_tube if self.quality is not None else ()),
            ("tube-yield", self.yield_limit_mpa, "bore-yield"),
            ("fitting", self.fitting_mpa, "rated-pressure"),
            ("seal", self.seal_mpa, "rated-pressure"),
        )
        return tuple((of, mpa, how) for of, mpa, how in told if mpa is not None)

    @property
    def limits_of_both_ends(self) -> tuple[Limited, ...]:
        """The same with the other end, where its rating is stated."""
        other = self.other_end_mpa
        return self.limits if other is None else (*self.limits, ("other-end", other, "as stated"))

    @property
    def lowest(self) -> Limited:
        """Limit that governs; one must be known."""
        return min(self.limits_of_both_ends, key=lambda limit: limit[1])


class RatedLine(Struct, frozen=True, kw_only=True, gc=False):
    """What a line asks of tube and fitting, and what the two carry.

    `limits` are those of the tube end, None where they are not known.
    """

    units: AnswerUnits
    words: Mapping[str, tuple[str, ...]]
    tube: TubeSetup
    fitting: FittingSetup
    limits: Preparation | None
    service: ServiceSetup
    rating: Rating


def resolve_rating(
    index: Index, tube: TubeSetup, fitting: FittingSetup, service: ServiceSetup
) -> Rating:
    """Limits of the assembly of this tube and fitting at this service.

    The tightest bend whose radius is stated is counted, and no other: `bent` counts the others.
    """
    strength = derating = None
    if service.temp_c is not None:
        if tube.material is not None:
            strength = index.strength(tube.material.id, service.temp_c)
        if fitting.ring is not None:
            derating = index.derated(fitting.ring.material, service.temp_c)
    bend = None
    # One that is tighter than any rating counts is refused, whatever it would carry.
    if tube.least_radius_mm is not None and not tube.is_bent_too_tight:
        bend = num(tube.least_radius_mm, LENGTH, "least radius of the bends", "/tube/bends")
    w = Working()
    of_tube = _tube_limits(w, tube, service, strength, bend)
    ring, other = fitting.ring, fitting.facts.other_end_rating
    seal_mpa = other_mpa = None
    if ring is not None and ring.seal_rated_pressure_bar is not None:
        seal_mpa = cell(ring, "seal_rated_pressure_bar", "rated pressure of the seal")
    if other is not UNSET:
        at = "/fitting/other_end_rating"
        other_mpa = num(in_mpa(other), PRESSURE, "rated pressure of the other end", at)
    rating = Rating(
        **structs.asdict(of_tube),
        strength=strength,
        derating=derating,
        quality=tube.quality,
        fitting_mpa=_fitting(w, fitting, derating),
        seal_mpa=seal_mpa,
        other_end_mpa=other_mpa,
    )
    return structs.replace(rating, margin=_margin(w, rating, service), steps=tuple(w.steps))


def bent(rating: Rating, tube: TubeSetup, service: ServiceSetup, radius_mm: float) -> TubeLimits:
    """Limits of the same tube bent to this radius."""
    radius = num(radius_mm, LENGTH, "radius of a bend", FROM_FORMULA)
    # The question states no such bend: whether it would hold is told, and no number of it.
    return _tube_limits(Working(), tube, service, rating.strength, radius)


def _tube_limits(
    w: Working,
    tube: TubeSetup,
    service: ServiceSetup,
    strength: Strength | None,
    bend: Num | None,
) -> TubeLimits:
    lost, under = service.corrosion_mm, tube.under_percent
    whole = num(0.0, PERCENT, UNDER, FROM_FORMULA)
    wall_mm = _wall(w, tube, "wall counted", whole, lost, bend)
    least_mm = _wall(w, tube, "least wall", under, lost, bend)
    iso, din = WAYS["iso-10763"], WAYS["din-2413-pulsating"]
    din_mm, of_din = None, Working()
    if service.facts.pulsating is True and under is not None and tube.od_mm is not None:
        least = of_din.calc("under-tolerance of DIN 2413", din_2413_under, D=tube.od_mm)
        din_mm = _wall(of_din, tube, "wall of DIN 2413", max(least, under), lost, bend)
    if din_mm and din.strength_of(strength) is not None:
        w.steps += of_din.steps
    # What a tube carries at the most refuses, and is not told.
    of_weld = Working() if tube.quality is None else w
    method: StaticMethod = "iso-10763"
    static_mpa = _carried(of_weld, "static", iso, strength, tube, wall_mm)
    if static_mpa is None:
        static_mpa = _static_b31(of_weld, tube, strength, least_mm)
        method = "iso-10763" if static_mpa is None else "asme-b31.3"
    pulsating_mpa = _carried(of_weld, "pulsating", din, strength, tube, din_mm)
    yield_at_mpa = yield_limit_mpa = tube.yield_at(w, least_mm)
    if yield_at_mpa:
        yield_limit_mpa = w.calc(
            "tube, yield margin", proof_limit, p_yield=yield_at_mpa, factor=service.proof_factor
        )
    return TubeLimits(
        static_method=method,
        wall_mm=wall_mm,
        least_wall_mm=least_mm,
        din_wall_mm=din_mm,
        static_mpa=static_mpa,
        pulsating_mpa=pulsating_mpa,
        yield_at_mpa=yield_at_mpa,
        yield_limit_mpa=yield_limit_mpa,
    )


def _wall(
    w: Working, tube: TubeSetup, name: str, under: Num | None, lost: Num, bend: Num | None
) -> Num | None:
    """Wall that is left of the nominal one, and what a bend leaves of that."""
    if bend is None or tube.od_mm is None:
        return tube.wall_left(w, name, under, lost)
    straight = tube.wall_left(w, f"{name}, straight", under, lost)
    return w.calc(name, bent_wall, t=straight, R=bend, D=tube.od_mm) if straight else straight


def _carried(
    w: Working,
    kind: Literal["static", "pulsating"],
    way: Way,
    row: Strength | None,
    tube: TubeSetup,
    wall: Num | None,
) -> Num | None:
    """Pressure at what factor and weld leave of a strength, 0 where no wall is left."""
    strength, name = way.strength_of(row), f"tube, {kind}"
    if strength is None or wall is None or tube.od_mm is None:
        return None
    if wall == 0.0:
        return num(0.0, PRESSURE, name, name)
    stress = w.calc(f"design stress, {kind}", design_stress, R=strength, factor=way.own_factor)
    stress = tube.welded(w, stress, _QUALITY_AT)
    return w.calc(name, way.pressure, S=stress, D=tube.od_mm, t=wall)


def _static_b31(w: Working, tube: TubeSetup, row: Strength | None, wall: Num | None) -> Num | None:
    """Where no tensile strength is known so hot, the allowable stress of ASME B31.3 may be."""
    stress, name = WAYS["asme-b31.3"].strength_of(row), "tube, static"
    if stress is None or wall is None or tube.od_mm is None:
        return None
    if wall == 0.0:
        return num(0.0, PRESSURE, name, name)
    quality = tube.weld(_QUALITY_AT)
    weld = num(1.0, PLAIN, "weld is not weakened by heat", FROM_FORMULA)
    y = num(0.4, PLAIN, "below the creep range", FROM_FORMULA)
    mpa = asme_b31_3(S=stress, D=tube.od_mm, t=wall, E=quality, W=weld, Y=y)
    if not asme_b31_3_holds(p=mpa, S=stress, D=tube.od_mm, t=wall, E=quality, W=weld):
        return None
    return w.calc(name, asme_b31_3, S=stress, D=tube.od_mm, t=wall, E=quality, W=weld, Y=y)


def _fitting(w: Working, fitting: FittingSetup, derating: Derating | None) -> Num | None:
    size = fitting.size
    if size is None or size.rated_pressure_bar is None or derating is None:
        return None
    rated = cell(size, "rated_pressure_bar", "rated pressure")
    by = cell(derating, "factor", "derating")
    return w.calc("fitting at temperature", derated, p_rated=rated, factor=by)


def _margin(w: Working, rating: Rating, service: ServiceSetup) -> Num | None:
    """Lowest limit over the pressure that counts, None while one that is asked is not known."""
    counted, pulsating = service.counted_mpa, service.facts.pulsating
    asked = [rating.static_mpa, rating.yield_limit_mpa, rating.fitting_mpa]
    if pulsating is True:
        asked.append(rating.pulsating_mpa)
    if counted is None or pulsating is UNSET or rating.quality is None or not all(asked):
        return None
    return w.calc("margin of the lowest limit", margin, p_limit=rating.lowest[1], p=counted)
