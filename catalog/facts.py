"""What each question must be told, and the few things that are taken as given unless it is told.

The table behind "unknown is never allowed": a required fact left out is a finding of severity
*unknown*; an assumed one is listed in the answer and worth a caution.
"""

from functools import cache
from typing import Annotated, Any, Final

from msgspec import UNSET, Struct

from catalog.wanted import about


class Required(Struct, frozen=True, gc=False):
    """A fact that must be stated: where, and the code of its absence; `or_at` states it too."""

    at: str
    code: str
    or_at: str = ""


class Assumption(Struct, frozen=True, gc=False):
    """A fact that was taken as given because the question does not state it."""

    at: Annotated[str, about("JSON pointer of the field that was left out")]
    value: Annotated[str, about("what was taken as given")]
    text: Annotated[str, about("the same in words")]


PRESSING: Final = (
    Required("/tube/od", "tube.od-missing"),
    Required("/tube/wall", "tube.wall-missing"),
    Required("/tube/material", "tube.material-missing"),
    Required("/fitting/series", "fitting.series-missing"),
    Required("/fitting/ring_style", "fitting.ring-style-missing"),
    Required("/fitting/ring_material", "fitting.ring-material-missing"),
)
"""Facts without which no press target can be looked up."""

SERVICE: Final = (
    Required("/service/working_pressure", "service.pressure-missing"),
    Required("/service/temperature", "service.temperature-missing"),
    Required("/service/pulsating", "service.pulsating-missing"),
)
"""Facts without which no assembly can be rated."""

RATING: Final = (
    Required("/tube/od", "tube.od-missing"),
    Required("/tube/wall", "tube.wall-missing"),
)
"""Facts of a tube rating; it needs a grade or a stress besides."""

SETUP: Final = (
    *PRESSING[:3],
    Required("/tube/measured_od", "tube.measured-od-missing"),
    Required("/tube/seam", "tube.seam-missing"),
    Required("/tube/bend", "tube.bend-missing"),
    *PRESSING[3:],
    *SERVICE,
    Required("/preparation/cut_method", "preparation.cut-method-missing"),
    Required("/preparation/out_of_square", "preparation.out-of-square-missing"),
    Required("/preparation/deburred_inside", "preparation.burr-unknown"),
    Required("/preparation/deburred_outside", "preparation.burr-unknown"),
    Required("/preparation/cleaned", "preparation.not-clean-unknown"),
    Required("/tooling/cone", "tooling.cone-missing"),
    Required("/tooling/plate", "tooling.plate-missing"),
    Required("/press", "press.missing"),
    Required("/gauge", "gauge.missing"),
    Required("/on", "gauge.date-unknown"),
    Required("/tool_state/gauge_calibration_due", "gauge.date-unknown"),
    Required(
        "/tool_state/cone_uses_since_check", "tooling.cone-uses-unknown", "/tool_state/cone_uses"
    ),
    Required("/preparation/lubricated", "preparation.lubricant-unknown"),
    Required("/preparation/ring_edge_towards", "preparation.ring-edge-missing"),
    Required("/preparation/nut_thread_towards", "preparation.nut-thread-missing"),
    Required("/preparation/tube_bottomed", "preparation.not-bottomed-unknown"),
)
"""Facts of a whole setup, in the order of the bench; three more depend on the tube and the target:
the insert where the wall asks for one, how the tube was identified where tolerance bands overlap,
and the intended reading unless the ring is finished at contact."""

ASSUMED_PRESSING: Final = (
    Assumption("/tube/coating", "none", "the tube has no coating"),
    Assumption("/fitting/ring_condition", "new", "the ring has not been pressed before"),
    Assumption("/fitting/ring_source", "one set", "ring and nut are of one matched set"),
    Assumption("/fitting/nut_source", "one set", "ring and nut are of one matched set"),
)
ASSUMED_HARDNESS: Final = Assumption(
    "/tube/hardness", "within limit", "hardness is within the limit of the grade"
)
ASSUMED_CALIBRATION: Final = Assumption(
    "/tool_state/gauge_calibration_due", "not overdue", "the gauge is within its calibration"
)
"""Of a press target with a gauge; a setup check states when its gauge is due."""
ASSUMED_FLUID: Final = "mineral-oil"
"""Id of the fluid behind `/service/fluid` where it is assumed."""
ASSUMED_SERVICE: Final = (
    Assumption("/service/fluid", ASSUMED_FLUID, "the fluid is mineral oil"),
    Assumption("/service/proof_factor", "1.5", "proof pressure is 1.5 x the pressure"),
    Assumption("/service/corrosion_allowance", "0 mm", "no wall is lost to corrosion"),
)
ASSUMED_PEAK: Final = Assumption(
    "/service/peak_pressure", "none", "no peak above the working pressure"
)
"""Of a line that does not pulsate; a pulsating one states its peak."""
ASSUMED_LEAST_C: Final = -20.0
"""Temperature behind `/service/least_temperature` where it is assumed [degC]."""
ASSUMED_LEAST: Final = Assumption(
    "/service/least_temperature",
    f"{ASSUMED_LEAST_C:g} degC",
    f"the line is never colder than {ASSUMED_LEAST_C:g} degC",
)
"""Of a metal ring; with an elastomer seal the cold is what counts, and it is stated."""
ASSUMED_SEAL: Final = Assumption(
    "/fitting/ring", "no less than the fitting", "the seal bears what the fitting bears"
)
"""Of a ring with an elastomer seal whose row gives no rating of its own."""
ASSUMED_RATING: Final = (
    Assumption("/temperature", "20 degC", "the tube is at room temperature"),
    Assumption("/proof_factor", "1.5", "proof pressure is 1.5 x the pressure"),
    Assumption("/corrosion_allowance", "0 mm", "no wall is lost to corrosion"),
)
"""Facts of a tube rating by a grade; a stress that is given is used as it is."""
ASSUMED_ASME: Final = (
    Assumption("/weld_factor", "1", "no weld is weakened by heat"),
    Assumption("/y_coefficient", "0.4", "the tube is below the creep range"),
)
LEAST_BEND_ODS: Final = 2.0
"""Radius of a bend, in ods, below which no rating counts it: common practice."""
PROOF_FACTOR: Final = 1.5
"""Value behind `/service/proof_factor` where it is assumed; a lower one is worth a caution."""
LEAST_PROOF_FACTOR: Final = 1.25
"""Below it nothing is known of the margin that is left: common practice."""


def escaped(name: str) -> str:
    """Name as a part of a JSON pointer (RFC 6901).

    >>> escaped("a/b~c")
    'a~1b~0c'
    """
    return name.replace("~", "~0").replace("/", "~1")


@cache
def _names(at: str) -> tuple[str, ...]:
    return tuple(at[1:].split("/"))


def stated(question: Any, at: str) -> Any:
    """Value of a question at one of these pointers, `UNSET` where it or its group is left out."""
    value = question
    for name in _names(at):
        value = getattr(value, name, UNSET)
        if value is UNSET:
            return UNSET
    return value
