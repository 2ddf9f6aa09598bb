"""The section of a tube: bore, the wall that is left to count on, bends and mass."""

from math import inf, pi

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_tube, refuse_value, refuse_values

BORE = Formula(
    id="bore",
    name="bore",
    text="d = D - 2 t",
    source="mechanics",
)


def bore_mm(od_mm: float, wall_mm: float) -> float:
    """Return the inside diameter.

    Parameters
    ----------
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Wall t [mm].

    Returns
    -------
    float
        Inside diameter d [mm].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    mechanics

    Examples
    --------
    >>> bore_mm(16.0, 2.0)
    12.0
    """
    if not 0.0 < 2.0 * wall_mm < od_mm < inf:
        refuse_tube(od_mm, wall_mm)
    return od_mm - 2.0 * wall_mm


EFFECTIVE_WALL = Formula(
    id="effective-wall",
    name="wall to count on",
    text="t = t_nominal (1 - u / 100) - c",
    source="mechanics",
)


def effective_wall_mm(
    wall_mm: float, under_tolerance_percent: float = 0.0, corrosion_mm: float = 0.0
) -> float:
    """Return the wall that is left after the mill's under-tolerance and corrosion.

    Parameters
    ----------
    wall_mm : float
        Nominal wall [mm].
    under_tolerance_percent : float
        Under-tolerance u of the wall, in percent of the nominal wall [%].
    corrosion_mm : float
        Allowance c for corrosion and wear [mm].

    Returns
    -------
    float
        Wall t [mm].

    Raises
    ------
    ValueError
        If nothing is left, or a value is negative or not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> effective_wall_mm(2.0, 10.0, 0.3)
    1.5
    """
    if not 0.0 < wall_mm < inf:
        refuse_value(wall_mm, "wall", "mm", "above 0 and finite")
    if not (0.0 <= under_tolerance_percent < 100.0 and 0.0 <= corrosion_mm < inf):
        refuse_values(
            "the under-tolerance must be from 0 to below 100 % and the corrosion at least 0 mm",
            under_tolerance_percent=under_tolerance_percent,
            corrosion_mm=corrosion_mm,
        )
    left_mm = wall_mm * (1.0 - under_tolerance_percent / 100.0) - corrosion_mm
    if not left_mm > 0.0:
        refuse_value(left_mm, "wall left", "mm", "above 0")
    return left_mm


DIN_2413_UNDER = Formula(
    id="din-2413-under",
    name="under-tolerance that DIN 2413 counts",
    text="u = 20 % below 6 mm od, 15 % to 8 mm, 10 % above",
    source="din-2413-1993",
)


def din_2413_under_percent(od_mm: float) -> float:
    """Return the under-tolerance of the wall that DIN 2413 counts; between 5 and 6 mm the larger.

    Parameters
    ----------
    od_mm : float
        Outside diameter D [mm].

    Returns
    -------
    float
        Under-tolerance u, in percent of the nominal wall [%].

    Raises
    ------
    ValueError
        If the outside diameter is not above 0 and finite.

    Source
    ------
    din-2413-1993

    Examples
    --------
    >>> din_2413_under_percent(5.0), din_2413_under_percent(8.0), din_2413_under_percent(10.0)
    (20.0, 15.0, 10.0)
    """
    if not 0.0 < od_mm < inf:
        refuse_value(od_mm, "od", "mm", "above 0 and finite")
    return 20.0 if od_mm < 6.0 else 15.0 if od_mm <= 8.0 else 10.0


BENT_WALL = Formula(
    id="bent-wall",
    name="outer wall of a bend",
    text="t_bend = t R / (R + D / 2)",
    source="mechanics",
)


def bent_wall_mm(wall_mm: float, od_mm: float, bend_radius_mm: float) -> float:
    """Return the wall at the outside of a bend, drawn out as the arc there is longer.

    Parameters
    ----------
    wall_mm : float
        Wall t before bending [mm].
    od_mm : float
        Outside diameter D [mm].
    bend_radius_mm : float
        Radius R of the bend, to the middle of the tube [mm].

    Returns
    -------
    float
        Wall at the outside of the bend [mm].

    Raises
    ------
    ValueError
        If the tube is impossible or the radius is not above half its outside diameter.

    Source
    ------
    mechanics

    Examples
    --------
    >>> bent_wall_mm(2.0, 16.0, 32.0)
    1.6
    """
    if not 0.0 < 2.0 * wall_mm < od_mm < inf:
        refuse_tube(od_mm, wall_mm)
    if not od_mm < 2.0 * bend_radius_mm < inf:
        refuse_value(bend_radius_mm, "bend radius", "mm", f"above {od_mm / 2.0:g} mm")
    return wall_mm * bend_radius_mm / (bend_radius_mm + 0.5 * od_mm)


TUBE_MASS = Formula(
    id="tube-mass",
    name="mass of tube",
    text="m = pi t (D - t) rho",
    source="mechanics",
)


def tube_mass_kg_m(od_mm: float, wall_mm: float, density_kg_m3: float) -> float:
    """Return the mass of a metre of tube.

    Parameters
    ----------
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Wall t [mm].
    density_kg_m3 : float
        Density rho of the material [kg/m3].

    Returns
    -------
    float
        Mass of a metre m [kg/m].

    Raises
    ------
    ValueError
        If the wall is not below half the outside diameter, or a value is not finite and above 0.

    Source
    ------
    mechanics

    Examples
    --------
    >>> round(tube_mass_kg_m(16.0, 2.0, 7850.0), 4)
    0.6905
    """
    if not 0.0 < 2.0 * wall_mm < od_mm < inf:
        refuse_tube(od_mm, wall_mm)
    if not 0.0 < density_kg_m3 < inf:
        refuse_value(density_kg_m3, "density", "kg/m3", "above 0 and finite")
    return pi * wall_mm * (od_mm - wall_mm) * density_kg_m3 * 1e-6  # mm2 to m2
