"""The errors of the formulas, worded once; made only when a formula has already refused."""

from math import inf
from typing import NoReturn


def refuse_rating(stress_mpa: float, od_mm: float, wall_mm: float) -> NoReturn:
    """Say that no tube has this outside diameter and wall, or that the stress is none."""
    if 0.0 < 2.0 * wall_mm < od_mm < inf:
        refuse_value(stress_mpa, "stress", "MPa", "above 0 and finite")
    refuse_tube(od_mm, wall_mm)


def refuse_tube(od_mm: float, wall_mm: float) -> NoReturn:
    """Say that no tube has this outside diameter and wall."""
    msg = (
        f"no tube has outside diameter {od_mm:g} mm with wall {wall_mm:g} mm, the wall must be"
        " above 0 mm and below half the outside diameter: measure both again"
    )
    raise ValueError(msg)


def refuse_pressure(pressure_mpa: float, stress_mpa: float, od_mm: float) -> NoReturn:
    """Say that no wall below half the outside diameter carries the pressure."""
    msg = (
        f"no wall below half of outside diameter {od_mm:g} mm carries {pressure_mpa:g} MPa at a"
        f" stress of {stress_mpa:g} MPa (all must be above 0 and finite): take a stronger grade or"
        " a lower pressure"
    )
    raise ValueError(msg)


def refuse_factors(quality: float, weld: float, y: float) -> NoReturn:
    """Say that a factor of ASME B31.3 is out of its range."""
    msg = (
        f"quality factor {quality:g} and weld factor {weld:g} must be above 0 and at most 1,"
        f" coefficient Y {y:g} from 0 to 1: take them from the tables of the code"
    )
    raise ValueError(msg)


def refuse_value(value: float, what: str, unit: str, limit: str) -> NoReturn:
    """Say that one value is outside what its formula can take."""
    msg = f"{what} {value:g} {unit} must be {limit}: check the value and its unit"
    raise ValueError(msg)


def refuse_values(limit: str, **values: float) -> NoReturn:
    """Say that one of several values, named with their unit, is outside what a formula can take."""
    given = ", ".join(f"{name.replace('_', ' ')} {value:g}" for name, value in values.items())
    msg = f"{limit}, not {given}: check the values and their units"
    raise ValueError(msg)
