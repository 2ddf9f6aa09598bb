"""The methods that rate a tube: formula there and back, strength, factor and wall of each.

Barlow, Boardman, Lame and ISO 10763 count on the tensile strength over the design factor and on the
nominal wall, as their texts do; DIN 2413 and ASME B31.3 on their own strengths and the least wall,
DIN 2413 on the wall factor of its od where that leaves less.
"""

from collections.abc import Callable
from typing import Final, Literal

from msgspec import Struct

from catalog.calc import asme, tube, tube_wall
from catalog.calc.formula import Formula
from catalog.setup.rating import DESIGN_FACTOR, ENDURANCE_FACTOR
from catalog.terms import Method

YIELD_FACTOR: Final = 1.5
"""Factor on the yield strength in the static form of DIN 2413."""

Of = Literal["tensile_mpa", "yield_mpa", "endurance_mpa", "allowable_mpa"]
Rate = Callable[[float, float, float], float]


class Way(Struct, frozen=True):
    """How a method goes: its formulas there and back, its strength, its factor, its wall."""

    formula: Formula
    rate: Rate
    wall_formula: Formula
    wall: Rate
    strength: Of
    factor: float
    counts: Literal["nominal", "least", "din-2413"]


WAYS: Final[dict[Method, Way]] = {
    "barlow": Way(
        tube.BARLOW,
        tube.barlow_mpa,
        tube_wall.BARLOW_WALL,
        tube_wall.barlow_wall_mm,
        "tensile_mpa",
        DESIGN_FACTOR,
        "nominal",
    ),
    "boardman": Way(
        tube.BOARDMAN,
        tube.boardman_mpa,
        tube_wall.BOARDMAN_WALL,
        tube_wall.boardman_wall_mm,
        "tensile_mpa",
        DESIGN_FACTOR,
        "nominal",
    ),
    "lame": Way(
        tube.LAME,
        tube.lame_mpa,
        tube_wall.LAME_WALL,
        tube_wall.lame_wall_mm,
        "tensile_mpa",
        DESIGN_FACTOR,
        "nominal",
    ),
    "iso-10763": Way(
        tube.ISO_10763,
        tube.iso_10763_mpa,
        tube_wall.ISO_10763_WALL,
        tube_wall.iso_10763_wall_mm,
        "tensile_mpa",
        DESIGN_FACTOR,
        "nominal",
    ),
    "din-2413-static": Way(
        tube.DIN_2413_STATIC,
        tube.din_2413_static_mpa,
        tube_wall.DIN_2413_STATIC_WALL,
        tube_wall.din_2413_static_wall_mm,
        "yield_mpa",
        YIELD_FACTOR,
        "din-2413",
    ),
    "din-2413-pulsating": Way(
        tube.DIN_2413_PULSATING,
        tube.din_2413_pulsating_mpa,
        tube_wall.DIN_2413_PULSATING_WALL,
        tube_wall.din_2413_pulsating_wall_mm,
        "endurance_mpa",
        ENDURANCE_FACTOR,
        "din-2413",
    ),
    "asme-b31.3": Way(
        asme.ASME_B31_3,
        asme.asme_b31_3_mpa,
        asme.ASME_B31_3_WALL,
        asme.asme_b31_3_wall_mm,
        "allowable_mpa",
        1.0,
        "least",
    ),
}
DIN_2413_STATIC_HOT: Final = Way(
    tube.DIN_2413_STATIC_HOT,
    tube.din_2413_static_hot_mpa,
    tube_wall.DIN_2413_STATIC_HOT_WALL,
    tube_wall.din_2413_static_hot_wall_mm,
    "yield_mpa",
    YIELD_FACTOR,
    "least",
)
