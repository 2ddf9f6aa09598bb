"""The wall: what is left of it to count on, and what each method asks for to carry a pressure.

A required wall is one that a tube can have only below half the outside diameter; where no wall
carries the pressure it is that or more, or infinite.
"""

from math import expm1, inf, sqrt
from typing import Final

from catalog.formulas.formula import Mm, MPa, Percent, Plain, Stress, formula


@formula("t = t_nominal (1 - u / 100) - c", source="mechanics")
def wall_left(t_nominal: Mm, u: Percent, c: Mm) -> Mm:
    """Wall that the mill's under-tolerance and corrosion leave, below 0 where they take it whole.

    >>> wall_left(t_nominal=2.0, u=10.0, c=0.3)
    1.5
    """
    return t_nominal * (1.0 - u / 100.0) - c


@formula("t_nominal = (t + c) / (1 - u / 100)", source="mechanics")
def nominal_wall(t: Mm, u: Percent, c: Mm) -> Mm:
    """Nominal wall of which under-tolerance and corrosion leave this one.

    >>> nominal_wall(t=1.5, u=10.0, c=0.3)
    2.0
    """
    return (t + c) / (1 - u / 100)


@formula("u = 20 % for D below 6 mm, 15 % to 8 mm, 10 % above", source="din-2413-1993")
def din_2413_under(D: Mm) -> Percent:
    """Under-tolerance of the wall that DIN 2413 counts; between 5 and 6 mm the larger.

    >>> [din_2413_under(D=od) for od in (5.0, 8.0, 10.0)]
    [20.0, 15.0, 10.0]
    """
    return 20.0 if D < 6.0 else 15.0 if D <= 8.0 else 10.0


@formula("t_bend = t R / (R + D / 2)", source="mechanics")
def bent_wall(t: Mm, R: Mm, D: Mm) -> Mm:
    """Wall at the outside of a bend, drawn out as the arc there is longer.

    >>> bent_wall(t=2.0, R=32.0, D=16.0)
    1.6
    """
    return t * R / (R + 0.5 * D)


@formula("t = p D / (2 S)", source="barlow")
def barlow(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a pressure by Barlow.

    >>> barlow(p=21.25, S=85.0, D=12.0)
    1.5
    """
    return p * D / (2.0 * S)


_BRANCH: Final = 5.0 / 13.0
"""p / S of Boardman and of Lamé alike at t / D = 1/6, where the branches of Boardman meet."""


@formula(
    "t = p D / (2 S + 0.8 p) for p / S <= 5/13, else (D / 2) (1 - sqrt((S - p) / (S + p)))",
    source="boardman",
)
def boardman(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a pressure by Boardman, in either branch of F; in the second that of Lamé.

    >>> round(boardman(p=40.0, S=130.0, D=12.0), 6), round(boardman(p=78.0, S=130.0, D=12.0), 6)
    (1.643836, 3.0)
    """
    if p <= _BRANCH * S:
        return p * D / (2.0 * S + 0.8 * p)
    return _by_lame(p, S, D)


@formula("t = (D / 2) (1 - sqrt((S - p) / (S + p)))", source="lame")
def lame(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a pressure by Lamé.

    >>> round(lame(p=60.0, S=100.0, D=12.0), 6)
    3.0
    """
    return _by_lame(p, S, D)


def _by_lame(p: float, S: float, D: float) -> float:
    if p >= S:
        return inf
    # The text's difference of nearly equal numbers, written as a quotient that keeps its digits.
    high = S + p
    return p * D / (high + sqrt(high * (S - p)))


@formula("t = (D / 2) (1 - exp(-p / S))", source="iso-10763")
def iso_10763(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a pressure by the logarithmic form of ISO 10763.

    >>> round(iso_10763(p=24.4530, S=85.0, D=12.0), 4)
    1.5
    """
    return -0.5 * D * expm1(-p / S)


@formula("t = p D / (2 S)", source="din-2413-1972")
def din_2413_static(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a mostly static pressure up to 120 degC by DIN 2413.

    >>> din_2413_static(p=40.0, S=160.0, D=12.0)
    1.5
    """
    return p * D / (2.0 * S)


@formula("t = p D / (2 S + p)", source="din-2413-1972")
def din_2413_static_hot(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a mostly static pressure above 120 degC by DIN 2413.

    >>> din_2413_static_hot(p=50.0, S=100.0, D=10.0)
    2.0
    """
    return p * D / (2.0 * S + p)


@formula("t = p D / (2 S - p)", source="din-2413-1993")
def din_2413_pulsating(p: MPa, S: Stress, D: Mm) -> Mm:
    """Wall that carries a pulsating pressure by DIN 2413.

    >>> din_2413_pulsating(p=50.0, S=150.0, D=10.0)
    2.0
    """
    # From 2/3 S on the wall would be half the diameter or more, and beyond 2 S below 0.
    return inf if 3.0 * p >= 2.0 * S else p * D / (2.0 * S - p)


@formula("t = p D / (2 (S E W + p Y))", source="asme-b31.3")
def asme_b31_3(p: MPa, S: Stress, D: Mm, E: Plain, W: Plain, Y: Plain) -> Mm:
    """Wall that carries a pressure by ASME B31.3 equation 3a, before any allowance.

    >>> asme_b31_3(p=17.0, S=100.0, D=20.0, E=0.85, W=0.9, Y=0.5)
    2.0
    """
    return p * D / (2.0 * (S * E * W + p * Y))
