"""The cut: how far a tube end is out of square."""

from math import inf, radians, tan

from catalog.calc.formula import Formula
from catalog.calc.refusals import refuse_values

OUT_OF_SQUARE = Formula(
    id="out-of-square",
    name="out of square",
    text="e = D tan(a)",
    source="mechanics",
)


def out_of_square_mm(od_mm: float, angle_deg: float) -> float:
    """Return how far the cut is out of square across the tube.

    Parameters
    ----------
    od_mm : float
        Outside diameter D [mm].
    angle_deg : float
        Angle a between the cut and a square cut [deg].

    Returns
    -------
    float
        Out of square e [mm].

    Raises
    ------
    ValueError
        If the outside diameter is not above 0 and finite, or the angle not from 0 to below 90 deg.

    Source
    ------
    mechanics

    Examples
    --------
    >>> round(out_of_square_mm(16.0, 1.0), 3)
    0.279
    """
    if not (0.0 < od_mm < inf and 0.0 <= angle_deg < 90.0):
        refuse_values(
            "the outside diameter must be above 0 mm and the angle from 0 to below 90 deg",
            od_mm=od_mm,
            angle_deg=angle_deg,
        )
    return od_mm * tan(radians(angle_deg))
