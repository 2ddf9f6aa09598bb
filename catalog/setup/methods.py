"""The methods that rate a tube: formula there and back, strength, factor and wall of each.

Barlow, Boardman, Lame and ISO 10763 count on the tensile strength over the design factor and on the
nominal wall, as their texts do; DIN 2413 and ASME B31.3 on their own strengths and the least wall,
DIN 2413 on the wall factor of its od where that leaves less.
"""

from typing import Final, Literal

from msgspec import Struct

from catalog.formulas import tube, wall
from catalog.formulas.formula import PLAIN, Formula
from catalog.rows import Strength
from catalog.terms import Method
from catalog.working import FROM_FORMULA, Num, cell, num

_DESIGN: Final = 4.0
"""Factor on the tensile strength in the static default, as ISO 10763 has it."""
_YIELD: Final = 1.5
"""Factor on the yield strength in the static form of DIN 2413."""
_ENDURANCE: Final = 1.5
"""Factor on the endurance strength of the pulsating form of DIN 2413."""

Of = Literal["tensile_mpa", "yield_mpa", "endurance_mpa", "allowable_mpa"]
Counts = Literal["nominal", "least", "din-2413"]


class Way(Struct, frozen=True):
    """How a method goes: its formulas there and back, its strength, its factor, its wall."""

    pressure: Formula[...]
    wall: Formula[...]
    strength: Of
    factor: float
    counts: Counts

    def strength_of(self, row: Strength | None) -> Num | None:
        """Strength that the method counts on, None where it is not known."""
        if row is None or getattr(row, self.strength) is None:
            return None
        return cell(row, self.strength, f"{self.strength.removesuffix('_mpa')} strength")

    @property
    def own_factor(self) -> Num:
        """Factor that the method names itself."""
        return num(self.factor, PLAIN, "factor of the method", FROM_FORMULA)


WAYS: Final[dict[Method, Way]] = {
    "barlow": Way(tube.barlow, wall.barlow, "tensile_mpa", _DESIGN, "nominal"),
    "boardman": Way(tube.boardman, wall.boardman, "tensile_mpa", _DESIGN, "nominal"),
    "lame": Way(tube.lame, wall.lame, "tensile_mpa", _DESIGN, "nominal"),
    "iso-10763": Way(tube.iso_10763, wall.iso_10763, "tensile_mpa", _DESIGN, "nominal"),
    "din-2413-static": Way(
        tube.din_2413_static, wall.din_2413_static, "yield_mpa", _YIELD, "din-2413"
    ),
    "din-2413-pulsating": Way(
        tube.din_2413_pulsating, wall.din_2413_pulsating, "endurance_mpa", _ENDURANCE, "din-2413"
    ),
    "asme-b31.3": Way(tube.asme_b31_3, wall.asme_b31_3, "allowable_mpa", 1.0, "least"),
}
DIN_2413_STATIC_HOT: Final = Way(
    tube.din_2413_static_hot, wall.din_2413_static_hot, "yield_mpa", _YIELD, "least"
)
