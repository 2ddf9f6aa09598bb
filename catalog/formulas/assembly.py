"""The made-up tube end: its loads, and what fitting, proof test and design factor leave."""

from math import pi

from catalog.formulas.formula import KN, Mm, MPa, Plain, formula


@formula("F = p pi D^2 / 4", source="mechanics")
def separation_force(p: MPa, D: Mm) -> KN:
    """Force with which the pressure pushes the tube out of the fitting.

    >>> round(separation_force(p=40.0, D=16.0), 3)
    8.042
    """
    return p * pi * D * D / 4000.0  # N to kN


@formula("F = p pi D_seal^2 / 4", source="mechanics")
def nut_load(p: MPa, D_seal: Mm) -> KN:
    """Load of the pressure on the nut, over the circle on which the ring seals on the cone.

    >>> round(nut_load(p=40.0, D_seal=17.6), 3)
    9.731
    """
    return p * pi * D_seal * D_seal / 4000.0  # N to kN


@formula("p = p_rated x factor", source="mechanics")
def derated(p_rated: MPa, factor: Plain) -> MPa:
    """Rated pressure of a fitting at temperature.

    >>> derated(p_rated=40.0, factor=0.9)
    36.0
    """
    return p_rated * factor


@formula("p = p_yield / factor", source="mechanics")
def proof_limit(p_yield: MPa, factor: Plain) -> MPa:
    """Highest pressure whose proof test, at this proof factor, does not yield the bore.

    >>> proof_limit(p_yield=45.0, factor=1.5)
    30.0
    """
    return p_yield / factor


@formula("p_design = p x factor", source="mechanics")
def design_pressure(p: MPa, factor: Plain) -> MPa:
    """Pressure at which a connector of a series of this design factor must still hold.

    >>> design_pressure(p=20.0, factor=4.0)
    80.0
    """
    return p * factor


@formula("margin = p_limit / p", source="mechanics")
def margin(p_limit: MPa, p: MPa) -> Plain:
    """How many times the pressure that counts the lowest limit of the assembly is.

    >>> margin(p_limit=25.0, p=20.0)
    1.25
    """
    return p_limit / p
