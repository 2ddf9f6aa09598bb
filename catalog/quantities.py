"""Quantities as they are asked and answered, and the exact way between their unit and ours."""

import functools
from decimal import Context, Decimal
from fractions import Fraction
from typing import Annotated, Any, Final

from msgspec import Meta, Struct

from catalog.terms import AngleUnit, LengthUnit, PressureUnit, TemperatureUnit, Unit
from catalog.wanted import about

# Our own units: mm, MPa, kN, mm2, degC, deg, mm3, kg/m. A test makes the table from pint's exact
# definitions; asking pint at every start would take longer than all else of the catalog.
FACTOR: Final[dict[str, float]] = {
    "mm": 1.0,
    "in": 25.4,
    "bar": 0.1,
    "MPa": 1.0,
    "psi": 0.006894757293168362,
    "kN": 1.0,
    "lbf": 0.0044482216152605,
    "mm2": 1.0,
    "cm2": 100.0,
    "in2": 645.16,
    "mm3": 1.0,
    "cm3": 1000.0,
    "in3": 16387.064,
    "kg/m": 1.0,
    "lb/ft": 1.4881639435695537,
    "deg": 1.0,
    "s": 1.0,
    "percent": 1.0,
    "1": 1.0,
}
"""Our unit per one of the named unit; temperatures are affine and stand in the functions below."""

# Below a billionth a size is no size, and a formula would make nothing of it.
_POSITIVE = Meta(ge=1e-9, le=1e6)
_FROM_ZERO = Meta(ge=0, le=1e6)


class Length(Struct, frozen=True, forbid_unknown_fields=True, gc=False):
    """A length above zero."""

    value: Annotated[float, _POSITIVE, about("number")]
    unit: Annotated[LengthUnit, about("unit of the number")]


class LengthFromZero(Struct, frozen=True, forbid_unknown_fields=True, gc=False):
    """A length that may be nothing: an uncertainty, an allowance."""

    value: Annotated[float, _FROM_ZERO, about("number")]
    unit: Annotated[LengthUnit, about("unit of the number")]


class Pressure(Struct, frozen=True, forbid_unknown_fields=True, gc=False):
    """A pressure or a stress above zero."""

    value: Annotated[float, _POSITIVE, about("number")]
    unit: Annotated[PressureUnit, about("unit of the number")]


class Temperature(Struct, frozen=True, forbid_unknown_fields=True, gc=False):
    """A temperature."""

    value: Annotated[float, Meta(ge=-460, le=10_000), about("number")]
    unit: Annotated[TemperatureUnit, about("unit of the number")]


class Angle(Struct, frozen=True, forbid_unknown_fields=True, gc=False):
    """An angle out of square, from zero to a right angle."""

    value: Annotated[float, Meta(ge=0, le=90), about("number of degrees")]
    unit: Annotated[AngleUnit, about("unit of the number")]


class Quantity(Struct, frozen=True, gc=False):
    """A number of an answer with its unit; `1` is a plain number."""

    value: Annotated[float, about("number, told with nine digits")]
    unit: Annotated[Unit, about("unit of the number")]


def in_mm(length: Length | LengthFromZero) -> float:
    """Length in [mm]."""
    return length.value * FACTOR[length.unit]


def in_mpa(pressure: Pressure) -> float:
    """Pressure in [MPa]."""
    return pressure.value * FACTOR[pressure.unit]


def in_deg_c(temperature: Temperature) -> float:
    """Temperature in [degC]."""
    if temperature.unit == "degC":
        return temperature.value
    return (temperature.value - 32) / 1.8


def above(value: float, limit: float) -> bool:
    """Whether a number is above a limit, told to the millionth of our unit: pascals, millinewtons.

    A value exactly at its limit passes, and the dust of binary fractions must not say otherwise.

    >>> 27.5 * 1.08 > 29.7, above(27.5 * 1.08, 29.7)
    (True, False)
    """
    return round(value * 1e6) > round(limit * 1e6)


def quantity(value: float, ours: Unit, wanted: Unit) -> Quantity:
    """Number of an answer: `value` in our unit `ours`, told in the unit `wanted`.

    Nine digits are told: far more than any gauge shows, and without the dust of binary fractions.
    """
    if wanted == "degF":
        told = value * 1.8 + 32
    elif ours == wanted:
        told = value
    else:
        told = value * FACTOR[ours] / FACTOR[wanted]
    return Quantity(float(f"{told:.9g}"), wanted)


@functools.lru_cache(maxsize=8192)
def size_key(length_mm: float) -> int:
    """Key of a size: whole tenths of a micrometre, so that no tolerance ever makes two sizes one.

    >>> size_key(16.0), size_key(0.63 * 25.4)
    (160000, 160020)
    """
    return round(length_mm * 10_000)


# How the name of a column of a table may end, and pint's name of it. A closed list: pint never sees
# text that was sent, since a crafted expression hangs its parser.
_COLUMN_UNITS: Final = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "um": "micrometer",
    "in": "inch",
    "ft": "foot",
    "mpa": "megapascal",
    "kpa": "kilopascal",
    "pa": "pascal",
    "bar": "bar",
    "psi": "pound_force_per_square_inch",
    "ksi": "kip_per_square_inch",
    "kn": "kilonewton",
    "n": "newton",
    "lbf": "force_pound",
    "kgf": "force_kilogram",
    "mm2": "millimeter ** 2",
    "cm2": "centimeter ** 2",
    "in2": "inch ** 2",
    "mm3": "millimeter ** 3",
    "cm3": "centimeter ** 3",
    "in3": "inch ** 3",
    "ml": "milliliter",
    "l": "liter",
    "c": "degree_Celsius",
    "f": "degree_Fahrenheit",
}
COLUMN_DIGITS: Final = 15
"""Digits that a spreadsheet keeps of a number, and that every table is written with."""


@functools.cache
def convertible_units(ours: str) -> tuple[str, ...]:
    """Units of columns that can be converted to the unit `ours` of a column, none where none can.

    >>> convertible_units("kn"), convertible_units("percent")
    (('n', 'lbf', 'kgf'), ())
    """
    if ours not in _COLUMN_UNITS:
        return ()
    wanted = _registry().Unit(_COLUMN_UNITS[ours])
    return tuple(
        unit
        for unit, name in _COLUMN_UNITS.items()
        if unit != ours and wanted.is_compatible_with(name)
    )


def in_unit_of_column(value: float, unit: str, ours: str) -> float:
    """A number of a table in the unit `ours`, exact where the digits of a table can say it.

    >>> in_unit_of_column(0.63, "in", "mm"), in_unit_of_column(212, "f", "c")
    (16.002, 100.0)
    """
    # The shortest text of a float is what the cell said, so 0.63 is 63/100 and no dust comes in.
    said = _registry().Quantity(Fraction(repr(value)), _COLUMN_UNITS[unit])
    exact = Fraction(said.to(_COLUMN_UNITS[ours]).magnitude)
    rounded = Context(prec=COLUMN_DIGITS).divide(Decimal(exact.numerator), exact.denominator)
    return float(rounded) + 0.0


@functools.cache
def _registry() -> Any:
    # Here, and not above: only a table in other units needs it. Fractions keep definitions exact.
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
