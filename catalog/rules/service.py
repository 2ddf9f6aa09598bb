"""Whether pressure, temperature and fluid of the line are stated and suit the assembly."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.facts import ASSUMED_FLUID
from catalog.quantities import FACTOR, above, in_mpa
from catalog.rows import AnyRow, Fluid, Material, Ring, Series
from catalog.rules.raised import Raised, apart, proof_factor_low, temperature, unknown_id
from catalog.setup.rating import RatedLine

_PRESSURE = "/service/working_pressure"
_FLUID = "/service/fluid"
_LEAST = "/service/least_temperature"


def peak_below_working(line: RatedLine) -> Iterator[Raised]:
    """A peak below the working pressure is a mistake in one of the two."""
    service = line.service
    if service.working_mpa is None or service.peak_mpa is None:
        return
    if above(service.working_mpa, service.peak_mpa):
        peak, working = apart(service.peak_mpa, service.working_mpa, "MPa", line.units.pressure)
        message = f"peak {peak} is below the working pressure {working}"
        yield Raised("service.peak-below-working", "/service/peak_pressure", message)


def peak_missing(line: RatedLine) -> Iterator[Raised]:
    """What a pulsating line asks of the tube is its peak, and nothing stands in for it."""
    if line.service.facts.pulsating is True and line.service.peak_mpa is None:
        message = "the line pulsates, and its peak is not stated"
        yield Raised("service.peak-missing", "/service/peak_pressure", message)


def proof_factor(line: RatedLine) -> Iterator[Raised]:
    """A proof factor below the usual one makes the yield margin smaller than it looks."""
    yield from proof_factor_low("/service/proof_factor", line.service.proof_factor)


def out_of_temperature(line: RatedLine) -> Iterator[Raised]:
    """Tube grade, series and fluid each have a range of temperature."""
    for row in (line.tube.material, line.fitting.series, line.service.fluid):
        if row is not None:
            yield from _outside(line, row)


def _outside(line: RatedLine, row: Material | Series | Fluid) -> Iterator[Raised]:
    """What lies outside a range; where it is only assumed to, the field that would settle it."""
    service, least_c, most_c = line.service, row.temp_min_c, row.temp_max_c
    hottest_c, coldest_c = service.temp_c, service.least_temp_c
    is_hot = hottest_c is not None and above(hottest_c, most_c)
    is_cold = hottest_c is not None and above(least_c, hottest_c)
    if not (is_hot or is_cold or above(least_c, coldest_c)):
        return
    limit = f"limit {temperature(line, least_c)} to {temperature(line, most_c)}"
    of_fluid = isinstance(row, Fluid)
    code = "service.fluid" if of_fluid else "service.temperature"
    if hottest_c is not None and (is_hot or is_cold):
        shown, _ = apart(hottest_c, most_c if is_hot else least_c, "degC", line.units.temperature)
        message = f"{shown} is outside the range of `{row.id}`, {limit}"
        if of_fluid and service.facts.fluid is UNSET:
            message = f"{message}: the fluid is taken as given, which is it?"
            yield Raised("service.fluid-unknown", _FLUID, message, (row,))
        else:
            yield Raised(code, "/service/temperature", message, (row,))
    if above(least_c, coldest_c) and not is_cold:
        shown = temperature(line, coldest_c)
        message = f"{shown} at the coldest is outside the range of `{row.id}`, {limit}"
        if service.facts.least_temperature is UNSET:
            message = f"{message}: how cold does the line get?"
            yield Raised("service.least-temperature-missing", _LEAST, message, (row,))
        elif of_fluid and service.facts.fluid is UNSET:
            yield Raised("service.fluid-unknown", _FLUID, f"{message}: which fluid is it?", (row,))
        else:
            yield Raised(code, _LEAST, message, (row,))


def least_above_temperature(line: RatedLine) -> Iterator[Raised]:
    """The coldest cannot be hotter than the hottest: then one of the two is not what it says."""
    service = line.service
    if service.temp_c is None or not above(service.least_temp_c, service.temp_c):
        return
    if service.facts.least_temperature is UNSET:
        if line.fitting.facts.ring_style == "elastomer-sealed":
            return  # with a seal it is missing in any case
        message = f"the line is colder than {temperature(line, service.least_temp_c)}: how cold?"
        yield Raised("service.least-temperature-missing", _LEAST, message)
    else:
        hot, cold = temperature(line, service.temp_c), temperature(line, service.least_temp_c)
        message = f"the line is {cold} at its coldest and {hot} at its hottest"
        yield Raised("service.least-above-temperature", _LEAST, message)


def seal_temperature(line: RatedLine) -> Iterator[Raised]:
    """An elastomer seal has a range of its own, and hardens in the cold."""
    ring, service = line.fitting.ring, line.service
    if line.fitting.facts.ring_style != "elastomer-sealed":
        return
    if service.facts.least_temperature is UNSET:
        message = "with an elastomer seal the lowest temperature counts, and it is not stated"
        yield Raised("service.least-temperature-missing", _LEAST, message)
    if ring is None:
        return
    least_c, most_c = ring.seal_temp_min_c, ring.seal_temp_max_c
    if least_c is None or most_c is None:
        message = f"no temperature range of the seal of `{ring.id}` in this revision"
        yield Raised("service.seal-range-unknown", "/service/temperature", message, (ring,))
        return
    stated = [("/service/temperature", service.temp_c)]
    if service.facts.least_temperature is not UNSET:
        stated.append((_LEAST, service.least_temp_c))
    for at, temp_c in stated:
        if temp_c is not None and (above(least_c, temp_c) or above(temp_c, most_c)):
            shown, least, most = (temperature(line, c) for c in (temp_c, least_c, most_c))
            message = f"{shown} is outside the range of the seal, limit {least} to {most}"
            yield Raised("service.seal-temperature", at, message, (ring,))


def fluid_ages(line: RatedLine) -> Iterator[Raised]:
    """Some fluids live short when they are hot, and some attack zinc."""
    service, coating = line.service, line.tube.coating
    if service.fluid is None:
        return
    row, temp_c = service.fluid, service.temp_c
    if temp_c is not None and row.life_above_c is not None and above(temp_c, row.life_above_c):
        limit = temperature(line, row.life_above_c)
        message = f"{temperature(line, temp_c)} ages `{row.id}`, limit of a long life {limit}"
        yield Raised("service.fluid-life", "/service/temperature", message, (row,))
    if row.attacks_zinc and coating is not None and coating.zinc:
        message = f"`{row.id}` attacks the zinc of `{coating.id}`"
        yield Raised("service.fluid-zinc", _FLUID, message, (row, coating))


def fluid(line: RatedLine) -> Iterator[Raised]:
    """The fluid must suit ring and seal; a gas is never in scope, and an assumption never rejects.

    A ring set that names fluids is for those, and for no other.
    """
    stated, row, ring = line.service.facts.fluid, line.service.fluid, line.fitting.ring
    word = ASSUMED_FLUID if stated is UNSET else stated
    if row is None:
        yield unknown_id(line, "service.fluid-unknown", _FLUID, word, "fluids")
        return
    rows: tuple[AnyRow, ...] = (row,) if ring is None else (row, ring)
    message = _against_fluid(row, ring)
    if message and stated is not UNSET:
        yield Raised("service.fluid", _FLUID, message, rows)
    elif message:
        message = f"`{word}` is taken as given, and {message}: which fluid is it?"
        yield Raised("service.fluid-unknown", _FLUID, message, rows)
    elif ring is not None and _is_open(row, ring):
        message = f"whether `{ring.seal_material}` bears `{row.id}` is open in this revision"
        yield Raised("service.fluid-unknown", _FLUID, message, rows)


def _against_fluid(row: Fluid, ring: Ring | None) -> str:
    if row.gas:
        return f"`{row.id}` is a gas, which is outside what this catalog judges"
    if ring is None:
        return ""
    if ring.fluids and row.id not in ring.fluids:
        return f"`{row.id}` is not among the fluids of `{ring.id}`: {', '.join(ring.fluids)}"
    # A set may be made for a fluid that its style is not usually for; its seal is what it is.
    is_for_style = row.id in ring.fluids or ring.ring_style in row.ring_styles
    if not is_for_style or ring.seal_material in row.seals_refused:
        return f"`{row.id}` is not for the {ring.ring_style} ring `{ring.id}`"
    return ""


def _is_open(row: Fluid, ring: Ring) -> bool:
    if ring.ring_style != "elastomer-sealed" or row.id in ring.fluids:
        return False
    return ring.seal_material not in row.seals_accepted


def psi_as_bar(line: RatedLine) -> Iterator[Raised]:
    """A pressure far beyond every limit in bar, and within them in psi, was meant in psi."""
    stated = line.service.facts.working_pressure
    lowest = min((mpa for _, mpa, _ in line.rating.limits), default=None)
    if stated is UNSET or stated.unit == "psi" or lowest is None:
        return
    as_psi_mpa = stated.value * FACTOR["psi"]
    if in_mpa(stated) > lowest >= as_psi_mpa and stated.value >= 500:
        message = f"{stated.value:g} {stated.unit} would be within the limits if meant in psi"
        yield Raised("hint.psi-as-bar", _PRESSURE, message)


SERVICE_RULES = (
    peak_missing,
    peak_below_working,
    proof_factor,
    least_above_temperature,
    out_of_temperature,
    seal_temperature,
    fluid,
    fluid_ages,
    psi_as_bar,
)
