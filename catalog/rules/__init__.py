"""Each rule is a small function over what it judges, which yields what it finds."""

from typing import Any

from catalog.rules.day import DAY_RULES
from catalog.rules.fitting import FITTING_RULES
from catalog.rules.gauge import CALIBRATION_RULES, GAUGE_RULES
from catalog.rules.group import Group, raised_by
from catalog.rules.preparation import PREPARATION_RULES
from catalog.rules.press import PRESS_RULES
from catalog.rules.rating import RATING_RULES, end_form
from catalog.rules.reading import READING_RULES
from catalog.rules.service import SERVICE_RULES
from catalog.rules.stated import STATED_RULES
from catalog.rules.target import TARGET_RULES
from catalog.rules.tooling import TOOLING_RULES
from catalog.rules.tube import TUBE_RULES
from catalog.setup.rating import RatedLine
from catalog.setup.resolving import Setup
from catalog.setup.tube_end import TubeEnd

__all__ = ["BASE_RULES", "CALIBRATION_RULES", "PAIR_RULES", "RULES", "Groups", "raised_by"]

Groups = tuple[Group[Any], ...]

PAIR_RULES: Groups = (*PRESS_RULES, *GAUGE_RULES)
"""Whether one press with one gauge can do it."""

BASE_RULES: Groups = (
    *STATED_RULES,
    Group(TubeEnd, (*TUBE_RULES, *FITTING_RULES), lasting=True),
    Group(RatedLine, (end_form, *SERVICE_RULES, *RATING_RULES)),
    Group(TubeEnd, TARGET_RULES, lasting=True),
    *TOOLING_RULES,
    *PREPARATION_RULES,
    Group(Setup, DAY_RULES),
)
"""Everything that does not depend on the press."""

RULES: Groups = (*BASE_RULES, *PAIR_RULES, *READING_RULES)
"""Every rule; one that does not apply to a question yields nothing."""
