"""The day that a question is judged on, and what is known of the tools of a pick on that day."""

from collections.abc import Mapping
from datetime import date

from msgspec import UNSET, Struct, UnsetType

from catalog.index import Index
from catalog.questions import CheckedTool, Received, ToolingPickQuestion


class Day(Struct, frozen=True, kw_only=True):
    """The day asked for beside the one by the clock of the receiver, None where nobody received it.

    `unknown_gauges` and `unknown_cones` are the ids of `tools` that the revision does not hold.
    """

    on: date | UnsetType = UNSET
    received: Received | None = None
    tools: Mapping[str, CheckedTool] = {}
    unknown_gauges: tuple[str, ...] = ()
    unknown_cones: tuple[str, ...] = ()


NO_DAY = Day()
NO_STATE = CheckedTool()


def pick_day(index: Index, question: ToolingPickQuestion, received: Received | None) -> Day:
    """Day of a pick, the same for all of its items."""
    tools = {} if question.tools is UNSET else question.tools
    return Day(
        on=question.on,
        received=received,
        tools=tools,
        unknown_gauges=tuple(
            tool
            for tool, state in tools.items()
            if state.calibration_due is not UNSET and tool not in index.gauges
        ),
        unknown_cones=tuple(
            tool
            for tool, state in tools.items()
            if state.uses_since_check is not UNSET and tool not in index.cones
        ),
    )
