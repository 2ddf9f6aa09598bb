"""A formula is a function that knows its text, its source and what its symbols measure."""

from collections.abc import Callable
from functools import update_wrapper
from typing import Annotated, Final, Generic, ParamSpec, get_type_hints

from msgspec import Struct

from catalog.terms import Unit

P = ParamSpec("P")


class Measure(Struct, frozen=True):
    """What a number measures, and our unit of it: a label, which nothing checks at run time."""

    name: str
    unit: Unit


PRESSURE: Final = Measure("pressure", "MPa")
STRESS: Final = Measure("stress", "MPa")
FORCE: Final = Measure("force", "kN")
LENGTH: Final = Measure("length", "mm")
AREA: Final = Measure("area", "mm2")
VOLUME: Final = Measure("volume", "mm3")
PERCENT: Final = Measure("share", "percent")
PLAIN: Final = Measure("plain", "1")
ANGLE: Final = Measure("angle", "deg")

MPa = Annotated[float, PRESSURE]
Stress = Annotated[float, STRESS]
KN = Annotated[float, FORCE]
Mm = Annotated[float, LENGTH]
Mm2 = Annotated[float, AREA]
Mm3 = Annotated[float, VOLUME]
Percent = Annotated[float, PERCENT]
Plain = Annotated[float, PLAIN]
Deg = Annotated[float, ANGLE]


class Formula(Generic[P]):
    """Called by the symbols of its text, in our units.

    `source` is an id in `catalog/tables/sources.csv`. A symbol that is a word of Python has an
    underscore after it. Bounds are those of the rows and the questions, and are not asked here.
    """

    def __init__(self, run: Callable[P, float], text: str, source: str) -> None:
        update_wrapper(self, run)
        self.run, self.text, self.source = run, text, source
        hints = get_type_hints(run, include_extras=True)
        self.of: dict[str, Measure] = {s: hint.__metadata__[0] for s, hint in hints.items()}
        self.result: Measure = self.of.pop("return")

    def __call__(self, *args: P.args, **given: P.kwargs) -> float:
        """Result in our unit of what it measures."""
        return self.run(*args, **given)


def formula(text: str, source: str) -> Callable[[Callable[P, float]], Formula[P]]:
    """Make a formula of a function."""
    return lambda run: Formula(run, text, source)
