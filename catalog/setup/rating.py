"""What an assembly carries: tube, tube yield, fitting and seal, each by its own formula."""

from typing import Literal

from msgspec import UNSET, Struct, structs

from catalog.calc.asme import asme_b31_3_applies, asme_b31_3_mpa
from catalog.calc.assembly import derated_mpa, proof_limit_mpa
from catalog.calc.stress import bore_yield_mpa, design_stress_mpa, welded_stress_mpa
from catalog.calc.tube import din_2413_pulsating_mpa, iso_10763_mpa
from catalog.calc.tube_section import bent_wall_mm, din_2413_under_percent, effective_wall_mm
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


class Rating(Struct, frozen=True, kw_only=True):
    """Limits of an assembly [MPa]; None where it does not apply or cannot be told.

    The nominal wall less corrosion counts in the static default, as ISO 10763 has it; DIN 2413,
    ASME B31.3 and the yield margin take the least wall that the tolerance allows. `bend_mm` is the
    radius of the bend that is counted, None for straight tube.
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
        told = (
            ("tube", self.static_mpa, self.static_method),
            ("tube", self.pulsating_mpa, "din-2413-pulsating"),
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
    quality = _quality(tube)
    rating = Rating(
        strength=strength,
        derating=derating,
        static_method="iso-10763",
        quality=quality,
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
    row, strength = tube.row, rating.strength
    wall_mm = _wall(tube, 0.0, service.corrosion_mm, bend_mm)
    least_mm = din_mm = None
    din_under = 0.0
    if row is not None:
        under = row.wall_under_percent if row.wall_basis == "nominal" else 0.0
        din_under = max(under, din_2413_under_percent(row.od_mm))
        least_mm = _wall(tube, under, service.corrosion_mm, bend_mm)
        din_mm = _wall(tube, din_under, service.corrosion_mm, bend_mm)
    static_mpa = _static(tube, strength, rating.quality, wall_mm)
    method: Literal["iso-10763", "asme-b31.3"] = "iso-10763"
    if static_mpa is None:
        static_mpa = _static_b31(tube, strength, rating.quality, least_mm)
        method = "iso-10763" if static_mpa is None else "asme-b31.3"
    yield_at_mpa = _yield(tube, least_mm)
    return structs.replace(
        rating,
        static_method=method,
        bend_mm=bend_mm,
        wall_mm=wall_mm,
        least_wall_mm=least_mm,
        din_under_percent=din_under,
        din_wall_mm=din_mm,
        static_mpa=static_mpa,
        pulsating_mpa=_pulsating(tube, strength, din_mm)
        if service.facts.pulsating is True
        else None,
        yield_at_mpa=yield_at_mpa,
        yield_limit_mpa=None
        if yield_at_mpa is None
        else proof_limit_mpa(yield_at_mpa, service.proof_factor),
    )


def _quality(tube: TubeSetup) -> float | None:
    """Quality factor of the weld, 1 for seamless tube, None where there may be a weld."""
    facts, material = tube.facts, tube.material
    if facts.seam == "seamless" or (material is not None and material.seams == ("seamless",)):
        return 1.0
    return None if facts.quality_factor is UNSET else facts.quality_factor


def _wall(
    tube: TubeSetup, under_percent: float, corrosion_mm: float, bend_mm: float | None
) -> float | None:
    if not tube.wall_possible or tube.wall_mm is None or tube.od_mm is None:
        return None
    try:
        wall_mm = effective_wall_mm(tube.wall_mm, under_percent, corrosion_mm)
    except ValueError:  # corrosion eats the whole wall: the tube carries nothing
        return 0.0
    return wall_mm if bend_mm is None else bent_wall_mm(wall_mm, tube.od_mm, bend_mm)


def _static(
    tube: TubeSetup, strength: Strength | None, quality: float | None, wall_mm: float | None
) -> float | None:
    if strength is None or strength.tensile_mpa is None or quality is None:
        return None
    if wall_mm is None or tube.od_mm is None:
        return None
    if wall_mm == 0:
        return 0.0
    stress_mpa = design_stress_mpa(strength.tensile_mpa, DESIGN_FACTOR)
    return iso_10763_mpa(welded_stress_mpa(stress_mpa, quality), tube.od_mm, wall_mm)


def _static_b31(
    tube: TubeSetup, strength: Strength | None, quality: float | None, wall_mm: float | None
) -> float | None:
    """Where no tensile strength is known so hot, the allowable stress of ASME B31.3 may be."""
    if strength is None or strength.allowable_mpa is None or quality is None:
        return None
    if not wall_mm or tube.od_mm is None:
        return None
    mpa = asme_b31_3_mpa(strength.allowable_mpa, tube.od_mm, wall_mm, quality)
    applies = asme_b31_3_applies(mpa, strength.allowable_mpa, tube.od_mm, wall_mm, quality)
    return mpa if applies else None


def _pulsating(tube: TubeSetup, strength: Strength | None, wall_mm: float | None) -> float | None:
    if strength is None or strength.endurance_mpa is None or wall_mm is None or tube.od_mm is None:
        return None
    if wall_mm == 0:
        return 0.0
    return din_2413_pulsating_mpa(
        design_stress_mpa(strength.endurance_mpa, ENDURANCE_FACTOR), tube.od_mm, wall_mm
    )


def _yield(tube: TubeSetup, wall_mm: float | None) -> float | None:
    material = tube.material
    if material is None or material.yield_mpa is None or wall_mm is None or tube.od_mm is None:
        return None
    if wall_mm == 0:
        return 0.0
    return bore_yield_mpa(material.yield_mpa, tube.od_mm, wall_mm)


def _fitting(fitting: FittingSetup, derating: Derating | None) -> float | None:
    if fitting.size is None or fitting.size.rated_pressure_bar is None or derating is None:
        return None
    return derated_mpa(fitting.size.rated_pressure_bar * FACTOR["bar"], derating.factor)
