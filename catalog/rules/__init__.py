"""Each rule is a small function over a setup that yields what it finds; the lists stand here."""

from collections.abc import Callable, Iterator

from catalog.rules.day import DAY_RULES
from catalog.rules.fitting import FITTING_RULES
from catalog.rules.gauge import GAUGE_RULES, calibration
from catalog.rules.preparation import PREPARATION_RULES
from catalog.rules.press import PRESS_RULES
from catalog.rules.raised import Raised
from catalog.rules.rating import RATING_RULES
from catalog.rules.reading import READING_RULES
from catalog.rules.service import SERVICE_RULES
from catalog.rules.stated import STATED_RULES
from catalog.rules.target import TARGET_RULES
from catalog.rules.tooling import TOOLING_RULES
from catalog.rules.tube import TUBE_RULES
from catalog.setup.resolving import Setup

Rule = Callable[[Setup], Iterator[Raised]]

PAIR_RULES: tuple[Rule, ...] = (*PRESS_RULES, *GAUGE_RULES)
"""Whether one press with one gauge can do it."""

DATED_PAIR_RULES: frozenset[Rule] = frozenset({calibration})
"""Those of them that depend on the day and on the state of the tools."""

BASE_RULES: tuple[Rule, ...] = (
    *STATED_RULES,
    *TUBE_RULES,
    *FITTING_RULES,
    *SERVICE_RULES,
    *RATING_RULES,
    *TARGET_RULES,
    *TOOLING_RULES,
    *PREPARATION_RULES,
    *DAY_RULES,
)
"""Everything that does not depend on the press."""

RULES: tuple[Rule, ...] = (*BASE_RULES, *PAIR_RULES, *READING_RULES)
"""Every rule; one that does not apply to a setup yields nothing."""
