"""The hand pump and the ram: gauge reading, force, oil and strokes of the pump."""

from math import ceil, inf

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_values

GAUGE_READING = Formula(
    id="gauge-reading",
    name="gauge reading",
    text="p = (F + F_return) / A",
    source="mechanics",
)


def gauge_mpa(force_kn: float, return_force_kn: float, ram_area_mm2: float) -> float:
    """Return the gauge reading at which the ram pushes with a force.

    Parameters
    ----------
    force_kn : float
        Force F on the ring [kN].
    return_force_kn : float
        Force F_return of the return spring [kN].
    ram_area_mm2 : float
        Area A of the ram [mm2].

    Returns
    -------
    float
        Gauge reading p [MPa].

    Raises
    ------
    ValueError
        If a force or the pressure is negative, the area is not above 0, or a value is not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> gauge_mpa(27.5, 1.0, 2000.0)
    14.25
    """
    if not (0.0 <= force_kn < inf and 0.0 <= return_force_kn < inf and 0.0 < ram_area_mm2 < inf):
        refuse_values(
            "forces must be at least 0 kN and the ram area above 0 mm2",
            force_kn=force_kn,
            return_force_kn=return_force_kn,
            ram_area_mm2=ram_area_mm2,
        )
    return (force_kn + return_force_kn) * 1000.0 / ram_area_mm2  # kN to N


PRESS_FORCE = Formula(
    id="press-force",
    name="force of the press",
    text="F = p A - F_return, at least 0",
    source="mechanics",
)


def force_kn(gauge_mpa: float, return_force_kn: float, ram_area_mm2: float) -> float:
    """Return the force of the ram at a gauge reading; 0 while the return spring holds it.

    Parameters
    ----------
    gauge_mpa : float
        Gauge reading p [MPa].
    return_force_kn : float
        Force F_return of the return spring [kN].
    ram_area_mm2 : float
        Area A of the ram [mm2].

    Returns
    -------
    float
        Force F on the ring [kN].

    Raises
    ------
    ValueError
        If a force or the pressure is negative, the area is not above 0, or a value is not finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> force_kn(14.25, 1.0, 2000.0)
    27.5
    """
    if not (0.0 <= gauge_mpa < inf and 0.0 <= return_force_kn < inf and 0.0 < ram_area_mm2 < inf):
        refuse_values(
            "reading and return force must be at least 0 and the ram area above 0 mm2",
            gauge_mpa=gauge_mpa,
            return_force_kn=return_force_kn,
            ram_area_mm2=ram_area_mm2,
        )
    return max(0.0, gauge_mpa * ram_area_mm2 / 1000.0 - return_force_kn)  # N to kN


OIL_VOLUME = Formula(
    id="oil-volume",
    name="oil for the stroke",
    text="V = A s",
    source="mechanics",
)


def oil_volume_mm3(ram_area_mm2: float, stroke_mm: float) -> float:
    """Return the oil that a stroke of the ram takes.

    Parameters
    ----------
    ram_area_mm2 : float
        Area A of the ram [mm2].
    stroke_mm : float
        Stroke s of the ram [mm].

    Returns
    -------
    float
        Oil volume V [mm3].

    Raises
    ------
    ValueError
        If the area or the stroke is not above 0 and finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> oil_volume_mm3(2000.0, 30.0)
    60000.0
    """
    if not (0.0 < ram_area_mm2 < inf and 0.0 < stroke_mm < inf):
        refuse_values(
            "ram area and stroke must be above 0", ram_area_mm2=ram_area_mm2, stroke_mm=stroke_mm
        )
    return ram_area_mm2 * stroke_mm


PUMP_STROKES = Formula(
    id="pump-strokes",
    name="strokes of the pump",
    text="n = V / V_pump, rounded up",
    source="mechanics",
)


def pump_strokes(oil_volume_mm3: float, displacement_mm3: float) -> int:
    """Return the strokes of the pump that a volume of oil takes, the last one perhaps in part.

    Parameters
    ----------
    oil_volume_mm3 : float
        Oil volume V [mm3].
    displacement_mm3 : float
        Oil of one stroke of the pump V_pump [mm3].

    Returns
    -------
    int
        Strokes n [-].

    Raises
    ------
    ValueError
        If a volume is not above 0 and finite.

    Source
    ------
    mechanics

    Examples
    --------
    >>> pump_strokes(60000.0, 2000.0), pump_strokes(60001.0, 2000.0)
    (30, 31)
    """
    if not (0.0 < oil_volume_mm3 < inf and 0.0 < displacement_mm3 < inf):
        refuse_values(
            "both volumes must be above 0 mm3",
            oil_volume_mm3=oil_volume_mm3,
            displacement_mm3=displacement_mm3,
        )
    # A millionth of a stroke is the noise of the division, not one more stroke.
    return max(1, ceil(round(oil_volume_mm3 / displacement_mm3, 6)))


FORCE_BAND = Formula(
    id="force-band",
    name="force band",
    text="F_low, F_high = F (1 -+ tolerance / 100)",
    source="mechanics",
)


def force_band_kn(force_kn: float, tolerance_percent: float) -> tuple[float, float]:
    """Return the least and the greatest force of a target.

    Parameters
    ----------
    force_kn : float
        Nominal force F [kN].
    tolerance_percent : float
        Tolerance of the force, to both sides [%].

    Returns
    -------
    tuple[float, float]
        Least and greatest force [kN].

    Raises
    ------
    ValueError
        If the force is negative or not finite, or the tolerance is not from 0 to below 100.

    Source
    ------
    mechanics

    Examples
    --------
    >>> force_band_kn(20.0, 10.0)
    (18.0, 22.0)
    """
    if not (0.0 <= force_kn < inf and 0.0 <= tolerance_percent < 100.0):
        refuse_values(
            "the force must be at least 0 kN and the tolerance from 0 to below 100 %",
            force_kn=force_kn,
            tolerance_percent=tolerance_percent,
        )
    share = tolerance_percent / 100.0
    return force_kn * (1.0 - share), force_kn * (1.0 + share)
