"""The formulas of the trade: text, source and units beside the function, each said once."""

from typing import Any, Final

from catalog.formulas import assembly, gauge, press, tube, wall
from catalog.formulas.formula import Formula

FORMULAS: Final[tuple[Formula[Any], ...]] = tuple(
    each
    for room in (tube, wall, press, gauge, assembly)
    for each in vars(room).values()
    if isinstance(each, Formula)
)
