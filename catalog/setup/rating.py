"""What an assembly carries: tube, tube yield, fitting and seal, each by its own formula."""

from collections.abc import Callable
from typing import Literal

from msgspec import UNSET, Struct, structs

from catalog.calc.asme import asme_b31_3_applies, asme_b31_3_mpa
from catalog.calc.assembly import derated_mpa, proof_limit_mpa
from catalog.calc.stress import design_stress_mpa, welded_stress_mpa
from catalog.calc.tube import din_2413_pulsating_mpa, iso_10763_mpa
from catalog.calc.tube_section import bent_wall_mm, din_2413_under_percent
from catalog.facts import ASSUMED_FLUID, ASSUMED_LEAST_C, PROOF_FACTOR
from catalog.index import Index
from catalog.quantities import FACTOR, above, in_deg_c, in_mm, in_mpa
from catalog.questions import ServiceFacts
from catalog.rows import Derating, Fluid, Strength
from catalog.setup.fitting import FittingSetup
from catalog.setup.tube import TubeSetup

DESIGN_FACTOR = 4.0
"""Factor on the tensile strength in the static default, as ISO 10763 has it."""
ENDURANCE_FACTOR = 1.5
"""Factor on the endurance strength of the pulsating form of DIN 2413."""


class ServiceSetup(Struct, frozen=True, kw_only=True):
    """What the line must carry, in our units; `counted_mpa` is the peak where one is given."""

    facts: ServiceFacts
    fluid: Fluid | None
    working_mpa: float | None
    peak_mpa: float | None
    counted_mpa: float | None
    temp_c: float | None
    least_temp_c: float
    proof_factor: float
    corrosion_mm: float

    @property
    def is_peak_counted(self) -> bool:
        """Whether the pressure that counts is the peak, and not the working pressure."""
        return self.counted_mpa is not None and self.counted_mpa != self.working_mpa


class Rating(Struct, frozen=True, kw_only=True):
    """Limits of an assembly [MPa]; None where it does not apply or cannot be told.

    The nominal wall less corrosion counts in the static default, as ISO 10763 has it; DIN 2413,
    ASME B31.3 and the yield margin take the least wall that the tolerance allows. `bend_mm` is the
    radius of the bend that is counted, None for straight tube. While the quality factor of a weld
    is not stated (`quality`), `static_mpa` and `pulsating_mpa` are what the tube carries at the
    most: they refuse, and are none of the `limits`.
    """

    strength: Strength | None
    derating: Derating | None
    static_method: Literal["iso-10763", "asme-b31.3"]
    quality: float | None
    bend_mm: float | None
    wall_mm: float | None
    least_wall_mm: float | None
    din_under_percent: float
    din_wall_mm: float | None
    static_mpa: float | None
    pulsating_mpa: float | None
    yield_at_mpa: float | None
    yield_limit_mpa: float | None
    fitting_mpa: float | None
    seal_mpa: float | None

    @property
    def limits(self) -> tuple[tuple[str, float, str], ...]:
        """Every limit that is known: what it is of, the pressure [MPa], the method."""
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

    def carries(self, mpa: float) -> bool:
        """Whether the tube carries a pressure, as far as it is rated."""
        rated = (self.static_mpa, self.pulsating_mpa, self.yield_limit_mpa)
        return all(limit is None or not above(mpa, limit) for limit in rated)


def resolve_service(index: Index, facts: ServiceFacts) -> ServiceSetup:
    """Service of a question in our units."""
    working_mpa = None if facts.working_pressure is UNSET else in_mpa(facts.working_pressure)
    peak_mpa = None if facts.peak_pressure is UNSET else in_mpa(facts.peak_pressure)
    given = [mpa for mpa in (working_mpa, peak_mpa) if mpa is not None]
    corrosion, least = facts.corrosion_allowance, facts.least_temperature
    return ServiceSetup(
        facts=facts,
        fluid=index.fluids.get(ASSUMED_FLUID if facts.fluid is UNSET else facts.fluid),
        working_mpa=working_mpa,
        peak_mpa=peak_mpa,
        counted_mpa=max(given, default=None),
        temp_c=None if facts.temperature is UNSET else in_deg_c(facts.temperature),
        least_temp_c=ASSUMED_LEAST_C if least is UNSET else in_deg_c(least),
        proof_factor=PROOF_FACTOR if facts.proof_factor is UNSET else facts.proof_factor,
        corrosion_mm=0.0 if corrosion is UNSET else in_mm(corrosion),
    )


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
    seal = None if fitting.ring is None else fitting.ring.seal_rated_pressure_bar
    rating = Rating(
        strength=strength,
        derating=derating,
        static_method="iso-10763",
        quality=tube.quality,
        bend_mm=None,
        wall_mm=None,
        least_wall_mm=None,
        din_under_percent=0.0,
        din_wall_mm=None,
        static_mpa=None,
        pulsating_mpa=None,
        yield_at_mpa=None,
        yield_limit_mpa=None,
        fitting_mpa=_fitting(fitting, derating),
        seal_mpa=None if seal is None else seal * FACTOR["bar"],
    )
    bend_mm = tube.least_radius_mm
    # One that is tighter than any rating counts is refused, whatever it would carry.
    counted = None if bend_mm is None or tube.is_bent_too_tight else bend_mm
    return bent(rating, tube, service, counted)


def bent(rating: Rating, tube: TubeSetup, service: ServiceSetup, bend_mm: float | None) -> Rating:
    """The same assembly with the tube bent to this radius [mm], straight where it is None."""
    strength, under = rating.strength, tube.under_percent
    is_pulsating = service.facts.pulsating is True
    wall_mm = _wall(tube, 0.0, service.corrosion_mm, bend_mm)
    least_mm = _wall(tube, under, service.corrosion_mm, bend_mm)
    din_mm = None
    din_under = 0.0
    if is_pulsating and under is not None and tube.od_mm is not None:
        din_under = max(under, din_2413_under_percent(tube.od_mm))
        din_mm = _wall(tube, din_under, service.corrosion_mm, bend_mm)
    static_mpa = pulsating_mpa = None
    method: Literal["iso-10763", "asme-b31.3"] = "iso-10763"
    if strength is not None:
        static_mpa = _carried(iso_10763_mpa, strength.tensile_mpa, DESIGN_FACTOR, tube, wall_mm)
        if static_mpa is None:
            static_mpa = _static_b31(tube, strength, least_mm)
            method = "iso-10763" if static_mpa is None else "asme-b31.3"
        endurance_mpa = strength.endurance_mpa
        pulsating_mpa = _carried(
            din_2413_pulsating_mpa, endurance_mpa, ENDURANCE_FACTOR, tube, din_mm
        )
    yield_at_mpa = tube.yield_at_mpa(least_mm)
    return structs.replace(
        rating,
        static_method=method,
        bend_mm=bend_mm,
        wall_mm=wall_mm,
        least_wall_mm=least_mm,
        din_under_percent=din_under,
        din_wall_mm=din_mm,
        static_mpa=static_mpa,
        pulsating_mpa=pulsating_mpa,
        yield_at_mpa=yield_at_mpa,
        yield_limit_mpa=None
        if yield_at_mpa is None
        else proof_limit_mpa(yield_at_mpa, service.proof_factor),
    )


def _wall(
    tube: TubeSetup, under_percent: float | None, corrosion_mm: float, bend_mm: float | None
) -> float | None:
    wall_mm = tube.wall_left_mm(under_percent, corrosion_mm)
    if not wall_mm or tube.od_mm is None or bend_mm is None:
        return wall_mm
    return bent_wall_mm(wall_mm, tube.od_mm, bend_mm)


def _carried(
    rate: Callable[[float, float, float], float],
    strength_mpa: float | None,
    factor: float,
    tube: TubeSetup,
    wall_mm: float | None,
) -> float | None:
    """Pressure at what factor and weld leave of a strength, 0 where no wall is left."""
    if strength_mpa is None or wall_mm is None or tube.od_mm is None:
        return None
    stress_mpa = welded_stress_mpa(design_stress_mpa(strength_mpa, factor), tube.most_quality)
    return rate(stress_mpa, tube.od_mm, wall_mm) if wall_mm else 0.0


def _static_b31(tube: TubeSetup, strength: Strength, wall_mm: float | None) -> float | None:
    """Where no tensile strength is known so hot, the allowable stress of ASME B31.3 may be."""
    stress_mpa, quality = strength.allowable_mpa, tube.most_quality
    if stress_mpa is None or wall_mm is None or tube.od_mm is None:
        return None
    if wall_mm == 0:
        return 0.0
    mpa = asme_b31_3_mpa(stress_mpa, tube.od_mm, wall_mm, quality)
    return mpa if asme_b31_3_applies(mpa, stress_mpa, tube.od_mm, wall_mm, quality) else None


def _fitting(fitting: FittingSetup, derating: Derating | None) -> float | None:
    if fitting.size is None or fitting.size.rated_pressure_bar is None or derating is None:
        return None
    return derated_mpa(fitting.size.rated_pressure_bar * FACTOR["bar"], derating.factor)
