"""The rating and the loads of an assembly in the shapes and units of an answer."""

from catalog.answers.shapes import AssemblyRating, Limit, Loads
from catalog.quantities import Quantity, quantity
from catalog.setup.resolving import Setup
from catalog.working import Num


def assembly_of(setup: Setup) -> AssemblyRating | None:
    """Rating of an assembly, None while tube or fitting cannot be rated."""
    rating, service = setup.rating, setup.service
    if rating is None or rating.margin is None or service is None or service.counted_mpa is None:
        return None
    told = setup.units.pressure
    governing, lowest_mpa, _ = rating.lowest
    return AssemblyRating(
        pressure=quantity(lowest_mpa, "MPa", told),
        governing=governing,
        counted_pressure=quantity(service.counted_mpa, "MPa", told),
        margin=quantity(rating.margin, "1", "1").value,
        limits=tuple(
            Limit(of=of, pressure=quantity(mpa, "MPa", told), method=how)
            for of, mpa, how in rating.limits_of_both_ends
        ),
    )


def loads_of(setup: Setup) -> Loads | None:
    """Loads of an assembly at the pressure that counts, None while it or the size is not known."""
    loads = setup.loads
    if loads is None:
        return None

    def told(kn: Num) -> Quantity:
        return quantity(kn, "kN", setup.units.force)

    return Loads(
        separation_force=told(loads.separation_kn),
        separation_force_at_design_factor=told(loads.separation_at_design_kn),
        nut_load=told(loads.nut_kn),
        nut_load_at_design_factor=told(loads.nut_at_design_kn),
        design_factor=loads.series.design_factor,
    )
