"""Stresses in the wall of a tube, and the pressure at which its bore begins to yield."""

from math import inf, sqrt

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_rating, refuse_values

_SQRT_3 = sqrt(3.0)


def _field(
    inner_mpa: float,
    outer_mpa: float,
    inner_radius_mm: float,
    outer_radius_mm: float,
    radius_mm: float,
) -> tuple[float, float]:
    """Return A and B / r^2 of the field [MPa]."""
    radii = 0.0 < inner_radius_mm <= radius_mm <= outer_radius_mm < inf
    if not (radii and inner_radius_mm < outer_radius_mm):
        refuse_values(
            "the radii must be 0 < inner <= asked <= outer, with inner below outer",
            inner_radius_mm=inner_radius_mm,
            asked_radius_mm=radius_mm,
            outer_radius_mm=outer_radius_mm,
        )
    if not (0.0 <= inner_mpa < inf and 0.0 <= outer_mpa < inf):
        refuse_values(
            "both pressures must be at least 0 MPa and finite",
            inner_mpa=inner_mpa,
            outer_mpa=outer_mpa,
        )
    inner_mm2 = inner_radius_mm * inner_radius_mm
    outer_mm2 = outer_radius_mm * outer_radius_mm
    across_mm2 = outer_mm2 - inner_mm2
    mean_mpa = (inner_mpa * inner_mm2 - outer_mpa * outer_mm2) / across_mm2
    constant_n = (inner_mpa - outer_mpa) * inner_mm2 * outer_mm2 / across_mm2
    return mean_mpa, constant_n / (radius_mm * radius_mm)


LAME_HOOP = Formula(
    id="lame-hoop",
    name="hoop stress by Lamé",
    text="s = A + B / r^2, A = (p_i r_i^2 - p_o r_o^2) / (r_o^2 - r_i^2),"
    " B = (p_i - p_o) r_i^2 r_o^2 / (r_o^2 - r_i^2)",
    source="lame",
)


def lame_hoop_mpa(
    inner_mpa: float,
    outer_mpa: float,
    inner_radius_mm: float,
    outer_radius_mm: float,
    radius_mm: float,
) -> float:
    """Return the hoop stress at a radius in the wall, tension positive.

    Parameters
    ----------
    inner_mpa : float
        Pressure p_i in the bore [MPa].
    outer_mpa : float
        Pressure p_o on the outside [MPa].
    inner_radius_mm : float
        Radius r_i of the bore [mm].
    outer_radius_mm : float
        Radius r_o of the outside [mm].
    radius_mm : float
        Radius r at which the stress is asked for [mm].

    Returns
    -------
    float
        Hoop stress s [MPa].

    Raises
    ------
    ValueError
        If not 0 < r_i <= r <= r_o with r_i < r_o, or a pressure is negative or not finite.

    Source
    ------
    lame

    Examples
    --------
    >>> round(lame_hoop_mpa(60.0, 30.0, 100.0, 150.0, 125.0), 2)
    28.56
    """
    mean_mpa, spread_mpa = _field(inner_mpa, outer_mpa, inner_radius_mm, outer_radius_mm, radius_mm)
    return mean_mpa + spread_mpa


LAME_RADIAL = Formula(
    id="lame-radial",
    name="radial stress by Lamé",
    text="s = A - B / r^2, A = (p_i r_i^2 - p_o r_o^2) / (r_o^2 - r_i^2),"
    " B = (p_i - p_o) r_i^2 r_o^2 / (r_o^2 - r_i^2)",
    source="lame",
)


def lame_radial_mpa(
    inner_mpa: float,
    outer_mpa: float,
    inner_radius_mm: float,
    outer_radius_mm: float,
    radius_mm: float,
) -> float:
    """Return the radial stress at a radius in the wall, tension positive.

    Parameters
    ----------
    inner_mpa : float
        Pressure p_i in the bore [MPa].
    outer_mpa : float
        Pressure p_o on the outside [MPa].
    inner_radius_mm : float
        Radius r_i of the bore [mm].
    outer_radius_mm : float
        Radius r_o of the outside [mm].
    radius_mm : float
        Radius r at which the stress is asked for [mm].

    Returns
    -------
    float
        Radial stress s [MPa].

    Raises
    ------
    ValueError
        If not 0 < r_i <= r <= r_o with r_i < r_o, or a pressure is negative or not finite.

    Source
    ------
    lame

    Examples
    --------
    >>> round(lame_radial_mpa(60.0, 30.0, 100.0, 150.0, 125.0), 2)
    -40.56
    """
    mean_mpa, spread_mpa = _field(inner_mpa, outer_mpa, inner_radius_mm, outer_radius_mm, radius_mm)
    return mean_mpa - spread_mpa


BORE_YIELD = Formula(
    id="bore-yield",
    name="yield at the bore (von Mises, closed ends)",
    text="p = (Re / sqrt 3) (1 - (d / D)^2)",
    source="mechanics",
)


def bore_yield_mpa(yield_mpa: float, od_mm: float, wall_mm: float) -> float:
    """Return the pressure at which the bore begins to yield by von Mises, with closed ends.

    Parameters
    ----------
    yield_mpa : float
        Yield strength Re or Rp0.2, cold [MPa].
    od_mm : float
        Outside diameter D [mm].
    wall_mm : float
        Smallest wall t that the tube may have; the bore is d = D - 2 t [mm].

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
    mechanics

    Examples
    --------
    >>> round(bore_yield_mpa(235.0, 16.0, 1.8), 2)
    54.19
    """
    if not (0.0 < 2.0 * wall_mm < od_mm < inf and 0.0 < yield_mpa < inf):
        refuse_rating(yield_mpa, od_mm, wall_mm)
    # 1 - (d / D)^2 is written as 4 t (D - t) / D^2, so that a thin wall loses no digits.
    return yield_mpa / _SQRT_3 * 4.0 * wall_mm * (od_mm - wall_mm) / (od_mm * od_mm)


DESIGN_STRESS = Formula(
    id="design-stress",
    name="design stress",
    text="S = R / factor",
    source="mechanics",
)


def design_stress_mpa(strength_mpa: float, factor: float) -> float:
    """Return the stress that is counted on: a strength over its factor.

    Parameters
    ----------
    strength_mpa : float
        Strength R that is divided [MPa].
    factor : float
        Factor, at least 1 [-].

    Returns
    -------
    float
        Stress S that is counted on [MPa].

    Raises
    ------
    ValueError
        If the strength is not above 0 or not finite, or the factor is below 1 or not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> design_stress_mpa(340.0, 4.0)
    85.0
    """
    if not (0.0 < strength_mpa < inf and 1.0 <= factor < inf):
        refuse_values(
            "the strength must be above 0 MPa and the factor at least 1",
            strength_mpa=strength_mpa,
            factor=factor,
        )
    return strength_mpa / factor


WELDED_STRESS = Formula(
    id="welded-stress",
    name="stress that a weld leaves",
    text="S_w = S E",
    source="asme-b31.3",
)


def welded_stress_mpa(stress_mpa: float, quality_factor: float) -> float:
    """Return the stress that is counted on in a tube with a weld along it.

    Parameters
    ----------
    stress_mpa : float
        Stress S of the seamless tube [MPa].
    quality_factor : float
        Quality factor E of the weld, above 0 and at most 1 [-].

    Returns
    -------
    float
        Stress S_w [MPa].

    Raises
    ------
    ValueError
        If the stress is not above 0 and finite, or the factor is out of its range.

    Source
    ------
    asme-b31.3

    Examples
    --------
    >>> welded_stress_mpa(100.0, 0.8)
    80.0
    """
    if not (0.0 < stress_mpa < inf and 0.0 < quality_factor <= 1.0):
        refuse_values(
            "the stress must be above 0 MPa and the factor above 0 and at most 1",
            stress_mpa=stress_mpa,
            quality_factor=quality_factor,
        )
    return stress_mpa * quality_factor
