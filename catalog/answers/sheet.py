"""The working of an answer: each number with its formula, its source and its inputs."""

from msgspec import Struct

from catalog.calc.formula import Formula
from catalog.index import FormulaGrades
from catalog.quantities import quantity
from catalog.questions import AnswerUnits
from catalog.terms import PressureUnit, Unit
from catalog.working import Input, WorkingStep


class Given(Struct, frozen=True, gc=False):
    """An input of a step: its symbol, its number as it is told, what it is, where it comes from.

    `origin` is the name of a row, the pointer of a field, or the name of an earlier step.
    """

    symbol: str
    value: float
    unit: Unit
    of: str
    origin: str


class Sheet:
    """Steps in the order in which they are calculated, told in the units of the answer."""

    def __init__(
        self, grades: FormulaGrades, units: AnswerUnits, dial: PressureUnit | None = None
    ) -> None:
        self._grades = grades.of
        self.steps: list[WorkingStep] = []
        self.length: Unit = units.length
        self.force: Unit = units.force
        self.pressure: Unit = units.pressure
        self.dial: Unit = units.pressure if dial is None else dial

    def step(
        self, formula: Formula, name: str, value: float, ours: Unit, told: Unit, *given: Given
    ) -> None:
        """Add a step whose result is `value` in our unit `ours`, told in the unit `told`."""
        self.steps.append(
            WorkingStep(
                name=name,
                formula=formula.text,
                source=formula.source,
                grade=self._grades[formula.source],
                inputs={
                    g.symbol: Input(value=g.value, unit=g.unit, of=g.of, origin=g.origin)
                    for g in given
                },
                result=quantity(value, ours, told),
            )
        )


def given(symbol: str, value: float, ours: Unit, told: Unit, of: str, origin: str) -> Given:
    """Input of a step from a number in our unit, told in another."""
    shown = quantity(value, ours, told)
    return Given(symbol, shown.value, shown.unit, of, origin)


def plain(symbol: str, value: float, unit: Unit, of: str, origin: str) -> Given:
    """Input of a step that is told as it stands in its row."""
    return Given(symbol, value, unit, of, origin)
