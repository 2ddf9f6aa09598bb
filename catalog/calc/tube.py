"""Tube ratings: the pressure a straight tube carries at a stress, by each method."""

from math import inf, log1p

from catalog.calc.formula import Formula
from catalog.calc.refusals import factors_refused, rating_refused, value_refused

BARLOW = Formula(id="barlow", name="Barlow", text="p = 2 S t / D", source="barlow")


def barlow_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure by Barlow, on the outside diameter.

    Parameters
    ----------
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Wall t [mm].

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    barlow

    Examples
    --------
    >>> round(barlow_mpa(85.0, 12.0, 1.5), 3)
    21.25
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    return 2.0 * stress_mpa * wall_mm / od_mm


BOARDMAN = Formula(
    id="boardman",
    name="Boardman",
    text="p = 2 S t / (D - 2 F t), F = 0.4 for t / D <= 1/6, else F = d / (d + D)",
    source="boardman",
)


def boardman_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure by Boardman, with both branches of F.

    Parameters
    ----------
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Wall t [mm]; the bore is d = D - 2 t.

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    boardman

    Examples
    --------
    >>> round(boardman_mpa(85.0, 12.0, 1.5), 3)
    23.611
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    if 6.0 * wall_mm <= od_mm:
        factor = 0.4
    else:
        bore_mm = od_mm - 2.0 * wall_mm
        factor = bore_mm / (bore_mm + od_mm)
    return 2.0 * stress_mpa * wall_mm / (od_mm - 2.0 * factor * wall_mm)


LAME = Formula(id="lame", name="Lamé", text="p = S (D^2 - d^2) / (D^2 + d^2)", source="lame")


def lame_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure at which the hoop stress at the bore is S, by Lamé.

    Parameters
    ----------
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Wall t [mm]; the bore is d = D - 2 t.

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    lame

    Examples
    --------
    >>> round(lame_mpa(85.0, 12.0, 1.5), 3)
    23.8
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    bore_mm = od_mm - 2.0 * wall_mm
    # D^2 - d^2 is written as 4 t (D - t), so that a thin wall loses no digits.
    return stress_mpa * 4.0 * wall_mm * (od_mm - wall_mm) / (od_mm * od_mm + bore_mm * bore_mm)


ISO_10763 = Formula(id="iso-10763", name="ISO 10763", text="p = S ln(D / d)", source="iso-10763")


def iso_10763_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure by the logarithmic form of ISO 10763.

    Parameters
    ----------
    stress_mpa : float
        Minimum tensile strength divided by the design factor, S [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Nominal wall t [mm]; the bore is d = D - 2 t.

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    iso-10763

    Examples
    --------
    >>> round(iso_10763_mpa(340.0 / 4.0, 12.0, 1.5), 3)
    24.453
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    # ln(D / d) is written as -ln(1 - 2 t / D), so that a thin wall loses no digits.
    return -stress_mpa * log1p(-2.0 * wall_mm / od_mm)


DIN_2413_STATIC = Formula(
    id="din-2413-static",
    name="DIN 2413, static, to 120 degC",
    text="p = 2 S t / D",
    source="din-2413-1972",
)


def din_2413_static_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure by DIN 2413 for a mostly static load up to 120 degC.

    Parameters
    ----------
    stress_mpa : float
        Allowable stress S [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Smallest wall t that the tube may have [mm].

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    din-2413-1972

    Examples
    --------
    >>> round(din_2413_static_mpa(235.0 / 1.5, 12.0, 0.9 * 1.5), 2)
    35.25
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    return 2.0 * stress_mpa * wall_mm / od_mm


DIN_2413_STATIC_HOT = Formula(
    id="din-2413-static-hot",
    name="DIN 2413, static, above 120 degC",
    text="p = 2 S t / (d + t)",
    source="din-2413-1972",
)


def din_2413_static_hot_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure by DIN 2413 for a mostly static load above 120 degC.

    Parameters
    ----------
    stress_mpa : float
        Allowable stress S at temperature [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Smallest wall t that the tube may have [mm]; the bore is d = D - 2 t.

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    din-2413-1972

    Examples
    --------
    >>> din_2413_static_hot_mpa(100.0, 10.0, 2.0)
    50.0
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    # d + t = D - t, both with this wall: the text takes the bore that belongs to it.
    return 2.0 * stress_mpa * wall_mm / (od_mm - wall_mm)


DIN_2413_PULSATING = Formula(
    id="din-2413-pulsating",
    name="DIN 2413, pulsating, to 120 degC",
    text="p = 2 S t / (D + t)",
    source="din-2413-1993",
)


def din_2413_pulsating_mpa(stress_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure by DIN 2413 for a pulsating load up to 120 degC.

    Parameters
    ----------
    stress_mpa : float
        Endurance strength divided by the safety factor, S [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Smallest wall t that the tube may have [mm].

    Returns
    -------
    float
        Pressure p [MPa].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    din-2413-1993

    Examples
    --------
    >>> round(din_2413_pulsating_mpa(226.0 / 1.5, 12.0, 0.9 * 1.5), 2)
    30.47
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < stress_mpa < inf):
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    return 2.0 * stress_mpa * wall_mm / (od_mm + wall_mm)


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
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    if not (0.0 < quality <= 1.0 and 0.0 < weld <= 1.0 and 0.0 <= y <= 1.0):
        raise factors_refused(quality, weld, y)
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
        raise rating_refused(stress_mpa, od_mm, wall_mm)
    if not 0.0 < pressure_mpa < inf:
        raise value_refused("pressure", pressure_mpa, "MPa", "above 0 MPa")
    if not (0.0 < quality <= 1.0 and 0.0 < weld <= 1.0):
        raise factors_refused(quality, weld, 0.0)
    # The text divides by S E alone; W is 1 below the creep range and makes the limit stricter above.
    return 6.0 * wall_mm < od_mm and pressure_mpa <= 0.385 * stress_mpa * quality * weld
