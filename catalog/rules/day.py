"""Whether the day of a question is believed, and whether its tools are known at all."""

from collections.abc import Iterator, Sequence
from typing import Final

from msgspec import UNSET

from catalog.rules.raised import Raised, listed, nearest, unknown_id
from catalog.setup.resolving import Setup
from catalog.setup.tube_rating import TubeRatingSetup

DIFFERS_DAYS: Final = 1
"""Days up to which two clocks may be apart: time zones."""
FAR_DAYS: Final = 7
"""Days apart beyond which one of the two days is wrong."""


def day_apart(setup: Setup) -> Iterator[Raised]:
    """A question dated otherwise than it was received may be answered for the wrong day."""
    on, received = setup.day.on, setup.day.received
    if on is UNSET or received is None:
        return
    days = abs((on - received.on).days)
    limit = FAR_DAYS if days > FAR_DAYS else DIFFERS_DAYS
    if days > limit:
        code = "request.day-far" if days > FAR_DAYS else "request.day-differs"
        message = f"asked for {on}, received on {received.on}: {days} days apart, limit {limit}"
        yield Raised(code, "/on", message)


def day_fixed(setup: Setup | TubeRatingSetup) -> Iterator[Raised]:
    """A day that a setting fixes is nobody's today."""
    received = setup.day.received if isinstance(setup, Setup) else setup.received
    if received is not None and received.fixed:
        yield Raised("data.fixed-day", "", f"the day of the service is fixed at {received.on}")


def tools_unknown(setup: Setup) -> Iterator[Raised]:
    """A tool of which something is stated must be known: a slip of an id hides the tool meant."""
    if setup.day.unknown_gauges:
        yield _not_held(setup, "gauge.unknown", "gauges", setup.day.unknown_gauges)
    if setup.day.unknown_cones:
        yield _not_held(setup, "tooling.cone-unknown", "cones", setup.day.unknown_cones)


def _not_held(setup: Setup, code: str, table: str, ids: Sequence[str]) -> Raised:
    if len(ids) == 1:
        return unknown_id(setup, code, "/tools", ids[0], table)
    hints = {each: nearest(setup.words[table], each) for each in ids}
    named = listed([f"`{each}` ({hint})" if hint else f"`{each}`" for each, hint in hints.items()])
    return Raised(code, "/tools", f"not in the {table} of this revision: {named}")


DAY_RULES = (
    day_apart,
    day_fixed,
    tools_unknown,
)
