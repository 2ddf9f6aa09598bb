"""Required walls: for each rating in tube.py, the wall that carries a pressure at a stress."""

from math import expm1, inf, sqrt

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_pressure


def _check(pressure_mpa: float, stress_mpa: float, od_mm: float) -> None:
    if not (0.0 < pressure_mpa < inf and 0.0 < stress_mpa < inf and 0.0 < od_mm < inf):
        refuse_pressure(pressure_mpa, stress_mpa, od_mm)


def _possible(wall_mm: float, pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    if not 0.0 < 2.0 * wall_mm < od_mm:
        refuse_pressure(pressure_mpa, stress_mpa, od_mm)
    return wall_mm


BARLOW_WALL = Formula(
    id="barlow-wall",
    name="wall by Barlow",
    text="t = p D / (2 S)",
    source="barlow",
)


def barlow_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the wall that carries the pressure by Barlow.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    barlow

    Examples
    --------
    >>> round(barlow_wall_mm(21.25, 85.0, 12.0), 4)
    1.5
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    wall_mm = pressure_mpa * od_mm / (2.0 * stress_mpa)
    return _possible(wall_mm, pressure_mpa, stress_mpa, od_mm)


_BRANCH = 5.0 / 13.0  # p / S of Boardman and of Lamé alike at t / D = 1/6, where the branches meet

BOARDMAN_WALL = Formula(
    id="boardman-wall",
    name="wall by Boardman",
    text="t = p D / (2 S + 0.8 p) for p / S <= 5/13, else as by Lamé",
    source="boardman",
)


def boardman_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the wall that carries the pressure by Boardman, in either branch of F.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    boardman

    Examples
    --------
    >>> round(boardman_wall_mm(23.6111, 85.0, 12.0), 4)
    1.5
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    if pressure_mpa <= _BRANCH * stress_mpa:
        return pressure_mpa * od_mm / (2.0 * stress_mpa + 0.8 * pressure_mpa)
    # With F = d / (d + D) the formula of Boardman is that of Lamé.
    return lame_wall_mm(pressure_mpa, stress_mpa, od_mm)


LAME_WALL = Formula(
    id="lame-wall",
    name="wall by Lamé",
    text="t = (D / 2) (1 - sqrt((S - p) / (S + p)))",
    source="lame",
)


def lame_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the wall that carries the pressure by Lamé.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    lame

    Examples
    --------
    >>> round(lame_wall_mm(13.8, 41.4, 150.0), 4)
    21.967
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    if pressure_mpa >= stress_mpa:
        refuse_pressure(pressure_mpa, stress_mpa, od_mm)
    # The text's difference of nearly equal numbers, written as a quotient that keeps its digits.
    high_mpa = stress_mpa + pressure_mpa
    root_mpa = sqrt(high_mpa * (stress_mpa - pressure_mpa))
    wall_mm = pressure_mpa * od_mm / (high_mpa + root_mpa)
    return _possible(wall_mm, pressure_mpa, stress_mpa, od_mm)


ISO_10763_WALL = Formula(
    id="iso-10763-wall",
    name="wall by ISO 10763",
    text="t = (D / 2) (1 - exp(-p / S))",
    source="iso-10763",
)


def iso_10763_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the nominal wall that carries the pressure by the logarithmic form of ISO 10763.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Minimum tensile strength divided by the design factor, S [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    iso-10763

    Examples
    --------
    >>> round(iso_10763_wall_mm(24.4530, 85.0, 12.0), 4)
    1.5
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    wall_mm = -0.5 * od_mm * expm1(-pressure_mpa / stress_mpa)
    return _possible(wall_mm, pressure_mpa, stress_mpa, od_mm)


DIN_2413_STATIC_WALL = Formula(
    id="din-2413-static-wall",
    name="wall by DIN 2413, static, to 120 degC",
    text="t = p D / (2 S)",
    source="din-2413-1972",
)


def din_2413_static_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the wall that carries a mostly static pressure up to 120 degC by DIN 2413.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    din-2413-1972

    Examples
    --------
    >>> round(din_2413_static_wall_mm(35.25, 235.0 / 1.5, 12.0), 4)
    1.35
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    wall_mm = pressure_mpa * od_mm / (2.0 * stress_mpa)
    return _possible(wall_mm, pressure_mpa, stress_mpa, od_mm)


DIN_2413_STATIC_HOT_WALL = Formula(
    id="din-2413-static-hot-wall",
    name="wall by DIN 2413, static, above 120 degC",
    text="t = p D / (2 S + p)",
    source="din-2413-1972",
)


def din_2413_static_hot_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the wall that carries a mostly static pressure above 120 degC by DIN 2413.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Allowable stress S at temperature [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    din-2413-1972

    Examples
    --------
    >>> round(din_2413_static_hot_wall_mm(50.0, 100.0, 10.0), 4)
    2.0
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    wall_mm = pressure_mpa * od_mm / (2.0 * stress_mpa + pressure_mpa)
    return _possible(wall_mm, pressure_mpa, stress_mpa, od_mm)


DIN_2413_PULSATING_WALL = Formula(
    id="din-2413-pulsating-wall",
    name="wall by DIN 2413, pulsating, to 120 degC",
    text="t = p D / (2 S - p)",
    source="din-2413-1993",
)


def din_2413_pulsating_wall_mm(pressure_mpa: float, stress_mpa: float, od_mm: float) -> float:
    """Return the wall that carries a pulsating pressure up to 120 degC by DIN 2413.

    Parameters
    ----------
    pressure_mpa : float
        Pressure p [MPa].
    stress_mpa : float
        Endurance strength divided by the safety factor, S [MPa].
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If no wall below half the outside diameter carries it, or a value is not finite and above 0.

    Source
    ------
    din-2413-1993

    Examples
    --------
    >>> round(din_2413_pulsating_wall_mm(50.0, 150.0, 10.0), 4)
    2.0
    """
    _check(pressure_mpa, stress_mpa, od_mm)
    if 3.0 * pressure_mpa >= 2.0 * stress_mpa:
        refuse_pressure(pressure_mpa, stress_mpa, od_mm)
    wall_mm = pressure_mpa * od_mm / (2.0 * stress_mpa - pressure_mpa)
    return _possible(wall_mm, pressure_mpa, stress_mpa, od_mm)
