"""What a line must carry: pressures, temperatures, fluid, as stated or as taken as given."""

from msgspec import UNSET, Struct

from catalog.facts import ASSUMED_FLUID, ASSUMED_LEAST_C, PROOF_FACTOR
from catalog.formulas.formula import LENGTH, PLAIN, PRESSURE
from catalog.index import Index
from catalog.quantities import in_deg_c, in_mm, in_mpa
from catalog.questions import ServiceFacts
from catalog.rows import Fluid
from catalog.working import Num, num


class ServiceSetup(Struct, frozen=True, kw_only=True):
    """What the line must carry, in our units; `counted_mpa` is the peak where one is given."""

    facts: ServiceFacts
    fluid: Fluid | None
    working_mpa: Num | None
    peak_mpa: Num | None
    counted_mpa: Num | None
    temp_c: float | None
    least_temp_c: float
    proof_factor: Num
    corrosion_mm: Num

    @property
    def is_peak_counted(self) -> bool:
        """Whether the pressure that counts is the peak, and not the working pressure."""
        return self.counted_mpa is not None and self.counted_mpa != self.working_mpa


def resolve_service(index: Index, facts: ServiceFacts) -> ServiceSetup:
    """Service of a question in our units."""
    working_mpa = peak_mpa = None
    if facts.working_pressure is not UNSET:
        at = "/service/working_pressure"
        working_mpa = num(in_mpa(facts.working_pressure), PRESSURE, "working pressure", at)
    if facts.peak_pressure is not UNSET:
        at = "/service/peak_pressure"
        peak_mpa = num(in_mpa(facts.peak_pressure), PRESSURE, "peak pressure", at)
    given = [mpa for mpa in (working_mpa, peak_mpa) if mpa is not None]
    corrosion, least, proof = (
        facts.corrosion_allowance,
        facts.least_temperature,
        facts.proof_factor,
    )
    return ServiceSetup(
        facts=facts,
        fluid=index.fluids.get(ASSUMED_FLUID if facts.fluid is UNSET else facts.fluid),
        working_mpa=working_mpa,
        peak_mpa=peak_mpa,
        counted_mpa=max(given, default=None),
        temp_c=None if facts.temperature is UNSET else in_deg_c(facts.temperature),
        least_temp_c=ASSUMED_LEAST_C if least is UNSET else in_deg_c(least),
        proof_factor=num(
            PROOF_FACTOR if proof is UNSET else proof,
            PLAIN,
            "proof factor",
            "/service/proof_factor",
        ),
        corrosion_mm=num(
            0.0 if corrosion is UNSET else in_mm(corrosion),
            LENGTH,
            "corrosion",
            "/service/corrosion_allowance",
        ),
    )
