"""What each question must be told, and the few things that are taken as given unless it is told.

The table behind "unknown is never allowed": a required fact left out is a finding of severity
*unknown*; an assumed one is listed in the answer and worth a caution.
"""

from functools import cache
from typing import Any, Final

from msgspec import UNSET, Struct


class Required(Struct, frozen=True, gc=False):
    """A fact that must be stated: where, and the code of its absence; `or_at` states it too."""

    at: str
    code: str
    or_at: str = ""


class Assumed(Struct, frozen=True, kw_only=True, gc=False):
    """A fact taken as given when it is not stated: where, what, and in words."""

    at: str
    value: str
    text: str


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
    Assumed(at="/tube/coating", value="none", text="the tube has no coating"),
    Assumed(at="/fitting/ring_condition", value="new", text="the ring has not been pressed before"),
    Assumed(at="/fitting/ring_source", value="one set", text="ring and nut are of one matched set"),
    Assumed(at="/fitting/nut_source", value="one set", text="ring and nut are of one matched set"),
)
ASSUMED_HARDNESS: Final = Assumed(
    at="/tube/hardness", value="within limit", text="hardness is within the limit of the grade"
)
ASSUMED_CALIBRATION: Final = Assumed(
    at="/tool_state/gauge_calibration_due",
    value="not overdue",
    text="the gauge is within its calibration",
)
"""Of a press target with a gauge; a setup check states when its gauge is due."""
ASSUMED_FLUID: Final = "mineral-oil"
"""Id of the fluid behind `/service/fluid` where it is assumed."""
ASSUMED_SERVICE: Final = (
    Assumed(at="/service/fluid", value=ASSUMED_FLUID, text="the fluid is mineral oil"),
    Assumed(at="/service/proof_factor", value="1.5", text="proof pressure is 1.5 x the pressure"),
    Assumed(at="/service/corrosion_allowance", value="0 mm", text="no wall is lost to corrosion"),
)
ASSUMED_PEAK: Final = Assumed(
    at="/service/peak_pressure", value="none", text="no peak above the working pressure"
)
"""Of a line that does not pulsate; a pulsating one states its peak."""
ASSUMED_LEAST_C: Final = -20.0
"""Temperature behind `/service/least_temperature` where it is assumed [degC]."""
ASSUMED_LEAST: Final = Assumed(
    at="/service/least_temperature",
    value=f"{ASSUMED_LEAST_C:g} degC",
    text=f"the line is never colder than {ASSUMED_LEAST_C:g} degC",
)
"""Of a metal ring; with an elastomer seal the cold is what counts, and it is stated."""
ASSUMED_SEAL: Final = Assumed(
    at="/fitting/ring",
    value="no less than the fitting",
    text="the seal bears what the fitting bears",
)
"""Of a ring with an elastomer seal whose row gives no rating of its own."""
ASSUMED_RATING: Final = (
    Assumed(at="/temperature", value="20 degC", text="the tube is at room temperature"),
    Assumed(at="/proof_factor", value="1.5", text="proof pressure is 1.5 x the pressure"),
    Assumed(at="/corrosion_allowance", value="0 mm", text="no wall is lost to corrosion"),
)
"""Facts of a tube rating by a grade; a stress that is given is used as it is."""
ASSUMED_ASME: Final = (
    Assumed(at="/weld_factor", value="1", text="no weld is weakened by heat"),
    Assumed(at="/y_coefficient", value="0.4", text="the tube is below the creep range"),
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
