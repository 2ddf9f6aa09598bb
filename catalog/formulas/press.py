"""The hand pump and the ram: force band, gauge reading, force, oil and strokes of the pump."""

from math import ceil

from catalog.formulas.formula import KN, Mm, Mm2, Mm3, MPa, Percent, Plain, formula


@formula("F_low = F (1 - tolerance / 100)", source="mechanics")
def least_force(F: KN, tolerance: Percent) -> KN:
    """Least force that presses the ring rightly.

    >>> least_force(F=20.0, tolerance=10.0)
    18.0
    """
    return F * (1.0 - tolerance / 100.0)


@formula("F_high = F (1 + tolerance / 100)", source="mechanics")
def greatest_force(F: KN, tolerance: Percent) -> KN:
    """Greatest force that presses the ring rightly.

    >>> greatest_force(F=20.0, tolerance=10.0)
    22.0
    """
    return F * (1.0 + tolerance / 100.0)


@formula("F_room = F_ceiling - F_high", source="mechanics")
def room_below_ceiling(F_ceiling: KN, F_high: KN) -> KN:
    """What is left between the greatest force and the one that is never exceeded.

    >>> room_below_ceiling(F_ceiling=24.0, F_high=22.0)
    2.0
    """
    return F_ceiling - F_high


@formula("p = (F + F_return) / A", source="mechanics")
def gauge_reading(F: KN, F_return: KN, A: Mm2) -> MPa:
    """Reading at which the ram pushes with a force, against its return spring.

    >>> gauge_reading(F=27.5, F_return=1.0, A=2000.0)
    14.25
    """
    return (F + F_return) * 1000.0 / A  # kN to N


@formula("F = p A - F_return, at least 0", source="mechanics")
def press_force(p: MPa, A: Mm2, F_return: KN) -> KN:
    """Force of the ram at a gauge reading; 0 while the return spring holds it.

    >>> press_force(p=14.25, A=2000.0, F_return=1.0)
    27.5
    """
    return max(0.0, p * A / 1000.0 - F_return)  # N to kN


@formula("V = A s", source="mechanics")
def oil_volume(A: Mm2, s: Mm) -> Mm3:
    """Oil that a stroke of the ram takes.

    >>> oil_volume(A=2000.0, s=30.0)
    60000.0
    """
    return A * s


@formula("n = V / V_pump, rounded up", source="mechanics")
def pump_strokes(V: Mm3, V_pump: Mm3) -> Plain:
    """Strokes of the pump that a volume of oil takes, the last one perhaps in part.

    >>> pump_strokes(V=60000.0, V_pump=2000.0), pump_strokes(V=60001.0, V_pump=2000.0)
    (30, 31)
    """
    # A millionth of a stroke is the noise of the division, not one more stroke.
    return max(1, ceil(round(V / V_pump, 6)))
