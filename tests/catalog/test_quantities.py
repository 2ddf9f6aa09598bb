"""The factors of units are those of pint's exact definitions."""

from fractions import Fraction
from typing import Final, get_args

import pint

from catalog.quantities import FACTOR
from catalog.terms import Unit

# pint's name of each unit, and of our unit of its dimension.
NAMES: Final = {
    "mm": ("millimeter", "millimeter"),
    "in": ("inch", "millimeter"),
    "bar": ("bar", "megapascal"),
    "MPa": ("megapascal", "megapascal"),
    "psi": ("pound_force_per_square_inch", "megapascal"),
    "kN": ("kilonewton", "kilonewton"),
    "lbf": ("force_pound", "kilonewton"),
    "mm2": ("millimeter ** 2", "millimeter ** 2"),
    "cm2": ("centimeter ** 2", "millimeter ** 2"),
    "in2": ("inch ** 2", "millimeter ** 2"),
    "mm3": ("millimeter ** 3", "millimeter ** 3"),
    "cm3": ("centimeter ** 3", "millimeter ** 3"),
    "in3": ("inch ** 3", "millimeter ** 3"),
    "kg/m": ("kilogram / meter", "kilogram / meter"),
    "lb/ft": ("pound / foot", "kilogram / meter"),
    "deg": ("degree", "degree"),
    "s": ("second", "second"),
}
PLAIN: Final = {"1", "percent"}
"""Units of numbers that are never converted."""


def test_every_factor_is_that_of_pint() -> None:
    # Fractions keep the definitions exact: as floats, 1 in = 25.400000000000002 mm.
    registry: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
    made = {
        unit: float(registry.Quantity(Fraction(1), theirs).to(ours).magnitude)
        for unit, (theirs, ours) in NAMES.items()
    }
    assert {**made, **dict.fromkeys(PLAIN, 1.0)} == FACTOR


def test_every_unit_of_an_answer_has_a_factor_or_is_affine() -> None:
    assert set(get_args(Unit)) - FACTOR.keys() == {"degC", "degF"}
