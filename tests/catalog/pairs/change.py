"""One change of a sound setup, and which two of them are a pair."""

from collections.abc import Mapping
from typing import Any, Final, Literal, NamedTuple

from msgspec import structs

from catalog.index import Index
from catalog.standing import Standing, State, Withdrawn

Kind = Literal["fault", "left out", "unknown id", "withdrawn", "caution"]
OUT: Final = "out"
WHY: Final = Withdrawn(reason="read from the wrong page", by="office", on="2026-03-01")
ROW_GONE: Final = frozenset({"tube.size-not-listed", "target.no-row", "fitting.ring-missing"})


class Change(NamedTuple):
    """What is set at which pointer, `OUT` takes the fact out, and what the office says of rows.

    `touches` are the fields of the question that the change is about.
    """

    name: str
    kind: Kind
    set: Mapping[str, Any]
    touches: frozenset[str]
    rows: tuple[str, ...] = ()
    whole: bool = False
    early: bool = False

    @property
    def takes_a_fact(self) -> bool:
        return self.kind in {"left out", "unknown id"}


def with_standing(index: Index, *changes: Change) -> Index:
    """Index of which the office has said what these changes say."""
    rows = {ref: WHY for change in changes for ref in change.rows}
    whole = WHY if any(change.whole for change in changes) else None
    early = any(change.early for change in changes)
    if not rows and whole is None and not early:
        return index
    state: State = "not-active-yet" if early else "active"
    return structs.replace(index, standing=Standing(state=state, whole=whole, rows=rows))


SIZE: Final = ("/tube/od", "/tube/wall", "/tube/material")
END: Final = ("/fitting/series", "/fitting/ring_style", "/tube/insert")
_READ: Final = ("/intended_reading", "/contact_reading")
_TOOLS: Final = ("/press", "/gauge", "/tooling/cone", "/tooling/plate", *_READ)
_LOAD: Final = (
    "/service/working_pressure",
    "/service/peak_pressure",
    "/service/proof_factor",
    "/service/corrosion_allowance",
    "/service/pulsating",
    "/service/temperature",
    "/fitting/other_end",
    "/fitting/other_end_rating",
)
# The uses are those of one cone.
_USES: Final = "/tool_state/cone_uses_since_check"
_FOLLOWS: Final[dict[str, tuple[str, ...]]] = {
    "/tube/od": (
        *SIZE,
        *END,
        *_TOOLS,
        *_LOAD,
        "/tube/measured_od",
        "/tube/caliper_uncertainty",
        "/tube/straight_length",
        _USES,
    ),
    "/tube/wall": (*SIZE, *END, *_TOOLS, *_LOAD, "/tube/measured_od"),
    "/tube/material": (
        *SIZE,
        *END,
        *_TOOLS,
        *_LOAD,
        "/fitting/ring_material",
        "/fitting/ring",
        "/tube/seam",
        "/tube/hardness",
        "/tube/measured_od",
        _USES,
    ),
    "/fitting/series": (
        *SIZE,
        *END,
        *_TOOLS,
        *_LOAD,
        "/fitting/ring",
        "/fitting/ring_material",
        "/tube/straight_length",
        "/preparation/lubricated",
        "/service/fluid",
        _USES,
    ),
    "/fitting/ring_style": (
        *SIZE,
        *END,
        *_TOOLS,
        "/fitting/ring",
        "/fitting/ring_material",
        "/preparation/lubricated",
        "/service/fluid",
        "/service/temperature",
    ),
    "/fitting/ring_material": ("/fitting/ring", "/service/fluid"),
    "/fitting/ring": ("/service/fluid", "/service/temperature", "/preparation/lubricated"),
    "/tube/insert": (*SIZE, *_TOOLS),
    "/press": _TOOLS,
    "/gauge": (*_TOOLS, "/tool_state/gauge_zero_checked"),
    "/tooling/cone": ("/press", *_READ, _USES),
    "/tooling/plate": ("/press", *_READ),
    "/on": ("/tool_state/gauge_calibration_due",),
    "/service/working_pressure": _LOAD,
    "/service/peak_pressure": _LOAD,
    "/tube/measured_od": ("/tube/caliper_uncertainty",),
}
"""Fields that may have to be another once the first is another."""


def is_a_pair(one: Change, other: Change) -> bool:
    """Whether neither of two changes makes the other right, and both can be made at once."""
    if one.set.keys() & other.set.keys():
        return False
    if one.takes_a_fact or other.takes_a_fact:
        return True
    if one.touches & other.touches:
        # Two rows of one field may both be withdrawn; another value reads another row.
        return one.kind == other.kind == "withdrawn"
    return not (_follow(one, other) or _follow(other, one))


def _follow(one: Change, other: Change) -> bool:
    if one.kind == "withdrawn":
        return False
    reads_other_rows = other.kind == "withdrawn"
    for field in one.set:
        followers = _FOLLOWS.get(field, ())
        if other.touches & {field, *followers} and (other.set or reads_other_rows):
            return True
    return False
