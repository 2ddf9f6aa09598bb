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
