"""Tube ratings: the pressure a straight tube carries at a stress (ASME's stand in asme.py)."""

from math import inf, log1p

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_rating

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
        refuse_rating(stress_mpa, od_mm, wall_mm)
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
        refuse_rating(stress_mpa, od_mm, wall_mm)
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
        refuse_rating(stress_mpa, od_mm, wall_mm)
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
        refuse_rating(stress_mpa, od_mm, wall_mm)
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
        refuse_rating(stress_mpa, od_mm, wall_mm)
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
        refuse_rating(stress_mpa, od_mm, wall_mm)
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
        refuse_rating(stress_mpa, od_mm, wall_mm)
    return 2.0 * stress_mpa * wall_mm / (od_mm + wall_mm)
