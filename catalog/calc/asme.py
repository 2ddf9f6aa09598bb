"""ASME B31.3 equation 3a: the rating, its limits and the wall it asks for."""

from math import inf

from catalog.calc.formula import Formula
from catalog.calc.refusals import (
    refuse_factors,
    refuse_pressure,
    refuse_rating,
    refuse_value,
)

ASME_B31_3 = Formula(
    id="asme-b31.3",
    name="ASME B31.3 (3a)",
    text="p = 2 S E W t / (D - 2 Y t)",
    source="asme-b31.3",
)


def asme_b31_3_mpa(
    stress_mpa: float,
    od_mm: float,
    wall_mm: float,
    quality: float = 1.0,
    weld: float = 1.0,
    y: float = 0.4,
) -> float:
    """Return the pressure by ASME B31.3 equation 3a; `asme_b31_3_applies` knows its limits.

    Parameters
    ----------
    stress_mpa : float
        Allowable stress S at temperature [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Smallest wall t that the tube may have, less corrosion [mm].
    quality : float
        Quality factor of the longitudinal seam E, above 0 and up to 1 [-].
    weld : float
        Strength reduction factor of the weld W, above 0 and up to 1 [-].
    y : float
        Coefficient Y for material and temperature, 0 to 1 [-].

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, a size or the stress is not finite and
        above 0, or a factor is out of its range.

    Source
    ------
    asme-b31.3

    Examples
    --------
    >>> round(asme_b31_3_mpa(137.9, 219.1, 2.3627), 3)
    3.0
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        refuse_rating(stress_mpa, od_mm, wall_mm)
    if not (0.0 < quality <= 1.0 and 0.0 < weld <= 1.0 and 0.0 <= y <= 1.0):
        refuse_factors(quality, weld, y)
    return 2.0 * stress_mpa * quality * weld * wall_mm / (od_mm - 2.0 * y * wall_mm)


ASME_B31_3_LIMITS = Formula(
    id="asme-b31.3-limits",
    name="limits of ASME B31.3 (3a)",
    text="t < D / 6 and p / (S E W) <= 0.385",
    source="asme-b31.3",
)


def asme_b31_3_applies(
    pressure_mpa: float,
    stress_mpa: float,
    od_mm: float,
    wall_mm: float,
    quality: float = 1.0,
    weld: float = 1.0,
) -> bool:
    """Tell whether equation 3a of ASME B31.3 may be used for this tube and pressure.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S at temperature [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Smallest wall t that the tube may have, less corrosion [mm].
    quality : float
        Quality factor of the longitudinal seam E, above 0 and up to 1 [-].
    weld : float
        Strength reduction factor of the weld W, above 0 and up to 1 [-].

    Returns
    -------
    bool
        True within both limits [-].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, a value is not finite and above 0, or a
        factor is out of its range.

    Source
    ------
    asme-b31.3

    Examples
    --------
    >>> asme_b31_3_applies(20.0, 100.0, 12.0, 1.5), asme_b31_3_applies(20.0, 100.0, 12.0, 2.0)
    (True, False)
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        refuse_rating(stress_mpa, od_mm, wall_mm)
    if not 0.0 < pressure_mpa < inf:
        refuse_value(pressure_mpa, "pressure", "MPa", "above 0 and finite")
    if not (0.0 < quality <= 1.0 and 0.0 < weld <= 1.0):
        refuse_factors(quality, weld, 0.0)
    # The text divides by S E alone; W is 1 below the creep range, and above makes this stricter.
    return 6.0 * wall_mm < od_mm and pressure_mpa <= 0.385 * stress_mpa * quality * weld


ASME_B31_3_WALL = Formula(
    id="asme-b31.3-wall",
    name="wall by ASME B31.3 (3a)",
    text="t = p D / (2 (S E W + p Y))",
    source="asme-b31.3",
)


def asme_b31_3_wall_mm(
    pressure_mpa: float,
    stress_mpa: float,
    od_mm: float,
    quality: float = 1.0,
    weld: float = 1.0,
    y: float = 0.4,
) -> float:
    """Return the wall that carries the pressure by ASME B31.3 equation 3a.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S at temperature [MPa].
    od_mm : float
        Outside diameter D [mm].
    quality : float
        Quality factor of the longitudinal seam E, above 0 and up to 1 [-].
    weld : float
        Strength reduction factor of the weld W, above 0 and up to 1 [-].
    y : float
        Coefficient Y for material and temperature, 0 to 1 [-].

    Returns
    -------
    float
        Wall t, before corrosion and under-tolerance are added [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, a value is not finite and above 0,
        or a factor is out of its range.

    Source
    ------
    asme-b31.3

    Examples
    --------
    >>> round(asme_b31_3_wall_mm(3.0, 137.9, 219.1), 4)
    2.3627
    """
    if not (0.0 < pressure_mpa < inf and 0.0 < stress_mpa < inf and 0.0 < od_mm < inf):
        refuse_pressure(pressure_mpa, stress_mpa, od_mm)
    if not (0.0 < quality <= 1.0 and 0.0 < weld <= 1.0 and 0.0 <= y <= 1.0):
        refuse_factors(quality, weld, y)
    allowed_mpa = stress_mpa * quality * weld
    wall_mm = pressure_mpa * od_mm / (2.0 * (allowed_mpa + pressure_mpa * y))
    if not 0.0 < 2.0 * wall_mm < od_mm:
        refuse_pressure(pressure_mpa, stress_mpa, od_mm)
    return wall_mm
