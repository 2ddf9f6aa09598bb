"""The errors of the formulas, worded once; made only when a formula has already refused."""


def rating_refused(stress_mpa: float, od_mm: float, wall_mm: float) -> ValueError:
    """Say that no tube has this outside diameter and wall, or that the stress is none."""
    if 0.0 < 2.0 * wall_mm < od_mm < float("inf"):
        return value_refused("stress", stress_mpa, "MPa", "above 0 MPa and finite")
    return tube_refused(od_mm, wall_mm)


def tube_refused(od_mm: float, wall_mm: float) -> ValueError:
    """Say that no tube has this outside diameter and wall."""
    return ValueError(
        f"no tube has outside diameter {od_mm:g} mm with wall {wall_mm:g} mm, the wall must be"
        " above 0 mm and below half the outside diameter: measure both again"
    )


def pressure_refused(pressure_mpa: float, stress_mpa: float, od_mm: float) -> ValueError:
    """Say that no wall below half the outside diameter carries the pressure."""
    return ValueError(
        f"no wall below half of outside diameter {od_mm:g} mm carries {pressure_mpa:g} MPa at a"
        f" stress of {stress_mpa:g} MPa (all must be above 0 and finite): take a stronger grade or"
        " a lower pressure"
    )


def factors_refused(quality: float, weld: float, y: float) -> ValueError:
    """Say that a factor of ASME B31.3 is out of its range."""
    return ValueError(
        f"quality factor {quality:g} and weld factor {weld:g} must be above 0 and at most 1,"
        f" coefficient Y {y:g} from 0 to 1: take them from the code's tables"
    )


def value_refused(what: str, value: float, unit: str, limit: str) -> ValueError:
    """Say that one value is outside what its formula can take."""
    return ValueError(f"{what} {value:g} {unit} must be {limit}: check the value and its unit")


def values_refused(limit: str, *named: tuple[str, float]) -> ValueError:
    """Say that one of several values is outside what its formula can take."""
    given = ", ".join(f"{name} {value:g}" for name, value in named)
    return ValueError(f"{given}: {limit}, check the values and their units")
