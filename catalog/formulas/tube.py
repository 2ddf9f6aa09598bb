"""The tube: what stress counts, and the pressure that a straight tube carries at it.

The wall is below half the outside diameter. What a text takes from the bore d is written with
d = D - 2 t, and the code so that a thin wall loses no digits.
"""

from math import log1p, radians, sqrt, tan
from typing import Final

from catalog.formulas.formula import Deg, Mm, MPa, Plain, Stress, formula

_SQRT_3: Final = sqrt(3.0)


@formula("S = R / factor", source="mechanics")
def design_stress(R: Stress, factor: Plain) -> Stress:
    """Stress that is counted on: a strength over its factor.

    >>> design_stress(R=340.0, factor=4.0)
    85.0
    """
    return R / factor


@formula("S_w = S E", source="asme-b31.3")
def welded_stress(S: Stress, E: Plain) -> Stress:
    """Stress that is counted on in a tube with a weld of this quality factor along it.

    >>> welded_stress(S=100.0, E=0.8)
    80.0
    """
    return S * E


@formula("p = (Re / sqrt 3) (1 - ((D - 2 t) / D)^2)", source="mechanics")
def bore_yield(Re: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure at which the bore begins to yield by von Mises, with closed ends.

    >>> round(bore_yield(Re=235.0, D=16.0, t=1.8), 2)
    54.19
    """
    return Re / _SQRT_3 * 4.0 * t * (D - t) / (D * D)


@formula("p = 2 S t / D", source="barlow")
def barlow(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure by Barlow, on the outside diameter.

    >>> barlow(S=85.0, D=12.0, t=1.5)
    21.25
    """
    return 2.0 * S * t / D


@formula(
    "p = 2 S t / (D - 2 F t), F = 0.4 for t / D <= 1/6, else F = (D - 2 t) / (2 D - 2 t)",
    source="boardman",
)
def boardman(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure by Boardman, with both branches of F.

    >>> round(boardman(S=85.0, D=12.0, t=1.5), 3), boardman(S=100.0, D=12.0, t=3.0)
    (23.611, 60.0)
    """
    if 6.0 * t <= D:
        factor = 0.4
    else:
        bore = D - 2.0 * t
        factor = bore / (bore + D)
    return 2.0 * S * t / (D - 2.0 * factor * t)


@formula("p = S (D^2 - (D - 2 t)^2) / (D^2 + (D - 2 t)^2)", source="lame")
def lame(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure at which the hoop stress at the bore is S, by Lamé.

    >>> round(lame(S=85.0, D=12.0, t=1.5), 3)
    23.8
    """
    bore = D - 2.0 * t
    return S * 4.0 * t * (D - t) / (D * D + bore * bore)


@formula("p = S ln(D / (D - 2 t))", source="iso-10763")
def iso_10763(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure by the logarithmic form of ISO 10763, of a tensile strength over its factor.

    >>> round(iso_10763(S=85.0, D=12.0, t=1.5), 3)
    24.453
    """
    return -S * log1p(-2.0 * t / D)


@formula("p = 2 S t / D", source="din-2413-1972")
def din_2413_static(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure by DIN 2413 for a mostly static load up to 120 degC.

    >>> din_2413_static(S=160.0, D=12.0, t=1.5)
    40.0
    """
    return 2.0 * S * t / D


@formula("p = 2 S t / (D - t)", source="din-2413-1972")
def din_2413_static_hot(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure by DIN 2413 for a mostly static load above 120 degC; d + t is D - t.

    >>> din_2413_static_hot(S=100.0, D=10.0, t=2.0)
    50.0
    """
    return 2.0 * S * t / (D - t)


@formula("p = 2 S t / (D + t)", source="din-2413-1993")
def din_2413_pulsating(S: Stress, D: Mm, t: Mm) -> MPa:
    """Pressure by DIN 2413 for a pulsating load up to 120 degC, of an endurance over its factor.

    >>> din_2413_pulsating(S=150.0, D=10.0, t=2.0)
    50.0
    """
    return 2.0 * S * t / (D + t)


@formula("p = 2 S E W t / (D - 2 Y t)", source="asme-b31.3")
def asme_b31_3(S: Stress, D: Mm, t: Mm, E: Plain, W: Plain, Y: Plain) -> MPa:
    """Pressure by ASME B31.3 equation 3a; `asme_b31_3_holds` knows its limits.

    >>> asme_b31_3(S=100.0, D=20.0, t=2.0, E=0.85, W=0.9, Y=0.5)
    17.0
    """
    return 2.0 * S * E * W * t / (D - 2.0 * Y * t)


def asme_b31_3_holds(p: MPa, S: Stress, D: Mm, t: Mm, E: Plain, W: Plain) -> bool:
    """Whether equation 3a of ASME B31.3 may be used: t < D / 6 and p / (S E W) <= 0.385.

    The text divides by S E alone; W is 1 below the creep range, and above makes this stricter.

    >>> [asme_b31_3_holds(p=20.0, S=100.0, D=12.0, t=t, E=1.0, W=1.0) for t in (1.5, 2.0)]
    [True, False]
    """
    return 6.0 * t < D and p <= 0.385 * S * E * W


@formula("e = D tan(a)", source="mechanics")
def gap_across(D: Mm, a: Deg) -> Mm:
    """How far a cut at an angle below 90 deg is out of square across the tube.

    >>> round(gap_across(D=16.0, a=1.0), 3)
    0.279
    """
    return D * tan(radians(a))
