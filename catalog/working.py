"""A number that knows what it is and where it comes from, and the steps that led to it."""

from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final

from msgspec import Struct

from catalog.formulas.formula import (
    AREA,
    FORCE,
    LENGTH,
    PERCENT,
    PLAIN,
    PRESSURE,
    STRESS,
    VOLUME,
    Formula,
    Measure,
    P,
)
from catalog.quantities import FACTOR, Quantity, quantity
from catalog.questions import AnswerUnits
from catalog.rows import Row, Source
from catalog.terms import Grade, PressureUnit, Unit
from catalog.wanted import about

FROM_FORMULA: Final = "formula"
"""Origin of a number that the text of a formula names."""
_COLUMNS: Final[dict[str, tuple[Measure, Unit]]] = {
    "kn": (FORCE, "kN"),
    "mm": (LENGTH, "mm"),
    "cm2": (AREA, "cm2"),
    "cm3": (VOLUME, "cm3"),
    "percent": (PERCENT, "percent"),
    "bar": (PRESSURE, "bar"),
    "mpa": (STRESS, "MPa"),
    "factor": (PLAIN, "1"),
}
"""What a column measures, and in what unit, by the end of its name."""


class Num(float):
    """A number in our unit; `origin` is the name of a row, the pointer of a field, or a step.

    Arithmetic gives a plain float, and a plain float is no input of a step.
    """

    __slots__ = ("measure", "of", "origin")
    measure: Measure
    of: str
    origin: str


def num(value: float, measure: Measure, of: str, origin: str) -> Num:
    """Number in our unit that knows what it is."""
    made = Num(value)
    made.measure, made.of, made.origin = measure, of, origin
    return made


def cell(row: Row, column: str, of: str) -> Num:
    """Number of a row; the end of the column's name says its unit."""
    measure, unit = _COLUMNS[column.rsplit("_", 1)[-1]]
    return num(getattr(row, column) * FACTOR[unit], measure, of, row.ref)


class Step(Struct, frozen=True, gc=False):
    """One calculation, its inputs by symbol."""

    formula: Formula[Any]
    inputs: dict[str, Num]
    result: Num


class Working:
    """Steps in the order in which they are calculated."""

    def __init__(self) -> None:
        self.steps: list[Step] = []

    def calc(self, name: str, by: Formula[P], /, *_: P.args, **given: P.kwargs) -> Num:
        """Calculate, and keep the step under its name.

        Errors: `TypeError` for an input that does not know where it comes from.
        """
        inputs: dict[str, Num] = {}
        for symbol, value in given.items():
            if not isinstance(value, Num):
                msg = f"{name}: {symbol} is a plain number, and no step of a working"
                raise TypeError(msg)
            inputs[symbol] = value
        result = num(by.run(*_, **given), by.result, name, name)
        self.steps.append(Step(by, inputs, result))
        return result


class Input(Struct, frozen=True, kw_only=True, gc=False):
    """One number that went into a step: what it is, and the row or the field that it came from."""

    value: Annotated[float, about("number that went in, in `unit`")]
    unit: Annotated[Unit, about("unit of the number")]
    of: Annotated[str, about("what it is")]
    origin: Annotated[str, about("row, field or formula that it came from")]


class WorkingStep(Struct, frozen=True, kw_only=True):
    """One calculation: the formula, its source and grade, its inputs by symbol, its result."""

    name: Annotated[str, about("what is calculated")]
    formula: Annotated[str, about("the formula, by symbols")]
    source: Annotated[str, about("id of the source of the formula")]
    grade: Annotated[Grade, about("how far the source is trusted")]
    inputs: Annotated[dict[str, Input], about("numbers that went in, by their symbols")]
    result: Annotated[Quantity, about("number that came out")]


def sources_of_steps(steps: Sequence[Step]) -> tuple[str, ...]:
    """Sources of the formulas used, by first use."""
    return tuple(dict.fromkeys(step.formula.source for step in steps))


def in_units(
    steps: Sequence[Step],
    sources: Mapping[str, Source],
    units: AnswerUnits,
    dial: PressureUnit | None = None,
) -> tuple[WorkingStep, ...]:
    """Steps in the units of the answer; with a `dial`, pressures are readings in its unit."""
    shown: dict[Measure, Unit] = {
        PRESSURE: dial or units.pressure,
        # MPa is N/mm2, as a strength is printed everywhere but where pressures are in psi.
        STRESS: "psi" if units.pressure == "psi" else "MPa",
        FORCE: units.force,
        LENGTH: units.length,
        AREA: "cm2",
        VOLUME: "cm3",
    }

    def in_unit(number: Num) -> Quantity:
        ours = number.measure.unit
        return quantity(number, ours, shown.get(number.measure, ours))

    def as_input(number: Num) -> Input:
        given = in_unit(number)
        return Input(value=given.value, unit=given.unit, of=number.of, origin=number.origin)

    return tuple(
        WorkingStep(
            name=step.result.of,
            formula=step.formula.text,
            source=step.formula.source,
            grade=sources[step.formula.source].grade,
            inputs={symbol.rstrip("_"): as_input(each) for symbol, each in step.inputs.items()},
            result=in_unit(step.result),
        )
        for step in steps
    )
