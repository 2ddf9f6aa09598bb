"""Forces that the pressure puts on a made-up tube end."""

from math import inf, pi

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_values

SEPARATION_FORCE = Formula(
    id="separation-force",
    name="separation force",
    text="F = p pi D^2 / 4",
    source="mechanics",
)


def separation_force_kn(pressure_mpa: float, od_mm: float) -> float:
    """Return the force with which the pressure pushes the tube out of the fitting.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Force F [kN].

    Raises
    ------
    ValueError
        If the pressure is negative, the diameter is not above 0, or a value is not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> round(separation_force_kn(40.0, 16.0), 3)
    8.042
    """
    if not (0.0 <= pressure_mpa < inf and 0.0 < od_mm < inf):
        refuse_values(
            "the pressure must be at least 0 MPa and the diameter above 0 mm",
            pressure_mpa=pressure_mpa,
            od_mm=od_mm,
        )
    return pressure_mpa * pi * od_mm * od_mm / 4000.0  # N to kN


NUT_LOAD = Formula(
    id="nut-load",
    name="load on the nut",
    text="F = p pi D_seal^2 / 4",
    source="mechanics",
)


def nut_load_kn(pressure_mpa: float, seal_diameter_mm: float) -> float:
    """Return the load of the pressure on the nut, over the circle on which the ring seals.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    seal_diameter_mm : float
        Seal diameter D_seal on the cone [mm].

    Returns
    -------
    float
        Load F [kN].

    Raises
    ------
    ValueError
        If the pressure is negative, the diameter is not above 0, or a value is not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> round(nut_load_kn(40.0, 17.6), 3)
    9.731
    """
    if not (0.0 <= pressure_mpa < inf and 0.0 < seal_diameter_mm < inf):
        refuse_values(
            "the pressure must be at least 0 MPa and the diameter above 0 mm",
            pressure_mpa=pressure_mpa,
            seal_diameter_mm=seal_diameter_mm,
        )
    return pressure_mpa * pi * seal_diameter_mm * seal_diameter_mm / 4000.0  # N to kN


DERATED = Formula(
    id="derated-pressure",
    name="rated pressure at temperature",
    text="p = p_rated x factor",
    source="mechanics",
)


def derated_mpa(rated_mpa: float, factor: float) -> float:
    """Return the rated pressure of a fitting at temperature.

    Parameters
    ----------
    rated_mpa : float
        Rated pressure of the fitting [MPa].
    factor : float
        Derating factor, above 0 to 1 [-].

    Returns
    -------
    float
        Pressure that the fitting carries at temperature [MPa].

    Raises
    ------
    ValueError
        If the rating is not above 0 or not finite, or the factor is not above 0 to 1.

    Source
    ------
    mechanics

    Examples
    --------
    >>> derated_mpa(40.0, 0.9)
    36.0
    """
    if not (0.0 < rated_mpa < inf and 0.0 < factor <= 1.0):
        refuse_values(
            "the rating must be above 0 MPa and the factor above 0 to 1",
            rated_mpa=rated_mpa,
            factor=factor,
        )
    return rated_mpa * factor


PROOF_LIMIT = Formula(
    id="proof-limit",
    name="pressure within the proof test",
    text="p = p_yield / proof factor",
    source="mechanics",
)


def proof_limit_mpa(yield_mpa: float, proof_factor: float) -> float:
    """Return the highest pressure whose proof test does not yield the bore.

    Parameters
    ----------
    yield_mpa : float
        Pressure at which the bore starts to yield [MPa].
    proof_factor : float
        Proof pressure over the pressure that counts, at least 1 [-].

    Returns
    -------
    float
        Highest pressure whose proof test does not yield the bore [MPa].

    Raises
    ------
    ValueError
        If the pressure is negative or not finite, or the factor is below 1 or not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> proof_limit_mpa(45.0, 1.5)
    30.0
    """
    if not (0.0 <= yield_mpa < inf and 1.0 <= proof_factor < inf):
        refuse_values(
            "the pressure must be at least 0 MPa and the factor at least 1",
            yield_mpa=yield_mpa,
            proof_factor=proof_factor,
        )
    return yield_mpa / proof_factor


DESIGN_PRESSURE = Formula(
    id="design-pressure",
    name="pressure at the design factor",
    text="p_design = p x factor",
    source="mechanics",
)


def design_pressure_mpa(pressure_mpa: float, design_factor: float) -> float:
    """Return the pressure at which a connector of a series must still hold.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p that counts [MPa].
    design_factor : float
        Design factor of the series, at least 1 [-].

    Returns
    -------
    float
        Pressure p_design at the design factor [MPa].

    Raises
    ------
    ValueError
        If the pressure is negative or not finite, or the factor is below 1 or not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> design_pressure_mpa(20.0, 4.0)
    80.0
    """
    if not (0.0 <= pressure_mpa < inf and 1.0 <= design_factor < inf):
        refuse_values(
            "the pressure must be at least 0 MPa and the factor at least 1",
            pressure_mpa=pressure_mpa,
            design_factor=design_factor,
        )
    return pressure_mpa * design_factor


MARGIN = Formula(
    id="margin",
    name="margin",
    text="margin = p_limit / p",
    source="mechanics",
)


def margin(limit_mpa: float, pressure_mpa: float) -> float:
    """Return how many times the pressure that counts the lowest limit is.

    Parameters
    ----------
    limit_mpa : float
        Lowest limit p_limit of the assembly [MPa].
    pressure_mpa : float
        Pressure p that counts [MPa].

    Returns
    -------
    float
        How many times the pressure the limit is [-].

    Raises
    ------
    ValueError
        If the limit is negative, the pressure is not above 0, or one is not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> margin(25.0, 20.0)
    1.25
    """
    if not (0.0 <= limit_mpa < inf and 0.0 < pressure_mpa < inf):
        refuse_values(
            "the limit must be at least 0 MPa and the pressure above 0",
            limit_mpa=limit_mpa,
            pressure_mpa=pressure_mpa,
        )
    return limit_mpa / pressure_mpa
