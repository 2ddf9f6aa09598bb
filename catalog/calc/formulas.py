"""Every formula of the package in one tuple, so that a compiler can ask for their sources."""

from typing import Any

from catalog.calc import (
    asme,
    assembly,
    cut,
    stress,
    tube,
    tube_section,
    tube_wall,
)
from catalog.formulas import gauge, press
from catalog.formulas.formula import Formula as NewFormula

FORMULAS: tuple[Any, ...] = (
    *(
        each
        for room in (press, gauge)
        for each in vars(room).values()
        if isinstance(each, NewFormula)
    ),
    tube.BARLOW,
    tube.BOARDMAN,
    tube.LAME,
    tube.ISO_10763,
    tube.DIN_2413_STATIC,
    tube.DIN_2413_STATIC_HOT,
    tube.DIN_2413_PULSATING,
    tube_wall.BARLOW_WALL,
    tube_wall.BOARDMAN_WALL,
    tube_wall.LAME_WALL,
    tube_wall.ISO_10763_WALL,
    tube_wall.DIN_2413_STATIC_WALL,
    tube_wall.DIN_2413_STATIC_HOT_WALL,
    tube_wall.DIN_2413_PULSATING_WALL,
    asme.ASME_B31_3,
    asme.ASME_B31_3_LIMITS,
    asme.ASME_B31_3_WALL,
    tube_section.BORE,
    tube_section.EFFECTIVE_WALL,
    tube_section.DIN_2413_UNDER,
    tube_section.BENT_WALL,
    tube_section.TUBE_MASS,
    stress.LAME_HOOP,
    stress.LAME_RADIAL,
    stress.BORE_YIELD,
    stress.DESIGN_STRESS,
    stress.WELDED_STRESS,
    assembly.SEPARATION_FORCE,
    assembly.NUT_LOAD,
    assembly.DERATED,
    assembly.PROOF_LIMIT,
    assembly.DESIGN_PRESSURE,
    assembly.MARGIN,
    cut.OUT_OF_SQUARE,
)
