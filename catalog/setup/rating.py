"""What an assembly carries: tube, tube yield, fitting and seal, each by its own formula."""

from msgspec import UNSET, Struct

from catalog.calc.assembly import derated_mpa, proof_limit_mpa
from catalog.calc.stress import bore_yield_mpa, design_stress_mpa
from catalog.calc.tube import din_2413_pulsating_mpa, iso_10763_mpa
from catalog.calc.tube_section import effective_wall_mm
from catalog.facts import ASSUMED_FLUID, PROOF_FACTOR
from catalog.index import Index
from catalog.quantities import FACTOR, in_deg_c, in_mm, in_mpa
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
    proof_factor: float
    corrosion_mm: float


class Rating(Struct, frozen=True, kw_only=True):
    """Limits of an assembly [MPa]; None where it does not apply or cannot be told.

    The nominal wall less corrosion counts in the static default, as ISO 10763 has it; the pulsating
    form and the yield margin take the least wall that the tolerance allows.
    """

    strength: Strength | None
    derating: Derating | None
    wall_mm: float | None
    least_wall_mm: float | None
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
            ("tube", self.static_mpa, "iso-10763"),
            ("tube", self.pulsating_mpa, "din-2413-pulsating"),
            ("tube-yield", self.yield_limit_mpa, "bore-yield"),
            ("fitting", self.fitting_mpa, "rated-pressure"),
            ("seal", self.seal_mpa, "rated-pressure"),
        )
        return tuple((of, mpa, how) for of, mpa, how in told if mpa is not None)


def resolve_service(index: Index, facts: ServiceFacts) -> ServiceSetup:
    """Service of a question in our units."""
    working_mpa = None if facts.working_pressure is UNSET else in_mpa(facts.working_pressure)
    peak_mpa = None if facts.peak_pressure is UNSET else in_mpa(facts.peak_pressure)
    given = [mpa for mpa in (working_mpa, peak_mpa) if mpa is not None]
    corrosion = facts.corrosion_allowance
    return ServiceSetup(
        facts=facts,
        fluid=index.fluids.get(ASSUMED_FLUID if facts.fluid is UNSET else facts.fluid),
        working_mpa=working_mpa,
        peak_mpa=peak_mpa,
        counted_mpa=max(given, default=None),
        temp_c=None if facts.temperature is UNSET else in_deg_c(facts.temperature),
        proof_factor=PROOF_FACTOR if facts.proof_factor is UNSET else facts.proof_factor,
        corrosion_mm=0.0 if corrosion is UNSET else in_mm(corrosion),
    )


def resolve_rating(
    index: Index, tube: TubeSetup, fitting: FittingSetup, service: ServiceSetup
) -> Rating:
    """Limits of the assembly of this tube and fitting at this service."""
    strength = derating = None
    if service.temp_c is not None:
        if tube.material is not None:
            strength = index.strength(tube.material.id, service.temp_c)
        if fitting.ring is not None:
            derating = index.derated(fitting.ring.material, service.temp_c)
    wall_mm = _wall(tube, 0.0, service.corrosion_mm)
    least_wall_mm = None
    if tube.row is not None:
        under = tube.row.wall_under_percent if tube.row.wall_basis == "nominal" else 0.0
        least_wall_mm = _wall(tube, under, service.corrosion_mm)
    yield_at_mpa = _yield(tube, least_wall_mm)
    seal = None if fitting.ring is None else fitting.ring.seal_rated_pressure_bar
    return Rating(
        strength=strength,
        derating=derating,
        wall_mm=wall_mm,
        least_wall_mm=least_wall_mm,
        static_mpa=_static(tube, strength, wall_mm),
        pulsating_mpa=_pulsating(tube, strength, least_wall_mm)
        if service.facts.pulsating is True
        else None,
        yield_at_mpa=yield_at_mpa,
        yield_limit_mpa=None
        if yield_at_mpa is None
        else proof_limit_mpa(yield_at_mpa, service.proof_factor),
        fitting_mpa=_fitting(fitting, derating),
        seal_mpa=None if seal is None else seal * FACTOR["bar"],
    )


def _wall(tube: TubeSetup, under_percent: float, corrosion_mm: float) -> float | None:
    if not tube.wall_possible or tube.wall_mm is None:
        return None
    try:
        return effective_wall_mm(tube.wall_mm, under_percent, corrosion_mm)
    except ValueError:  # corrosion eats the whole wall: the tube carries nothing
        return 0.0


def _static(tube: TubeSetup, strength: Strength | None, wall_mm: float | None) -> float | None:
    if strength is None or strength.tensile_mpa is None or wall_mm is None or tube.od_mm is None:
        return None
    if wall_mm == 0:
        return 0.0
    return iso_10763_mpa(
        design_stress_mpa(strength.tensile_mpa, DESIGN_FACTOR), tube.od_mm, wall_mm
    )


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
