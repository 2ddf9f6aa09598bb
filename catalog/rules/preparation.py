"""Whether the tube end was prepared rightly and everything sits the right way round."""

from collections.abc import Iterator

from msgspec import UNSET

from catalog.formulas.tube import gap_across
from catalog.quantities import above
from catalog.questions import PreparationFacts
from catalog.rules.group import Group
from catalog.rules.raised import Raised, length, unknown_id
from catalog.setup.resolving import Prepared, Setup

_AT = "/preparation/"
_NOTHING = PreparationFacts()


def limits_unknown(setup: Setup) -> Iterator[Raised]:
    """Without limits for this system and od, neither the end nor a caliper can be judged."""
    facts, tube = setup.preparation or _NOTHING, setup.tube
    if setup.limits is not None or setup.fitting.series is None or tube.od_mm is None:
        return  # a series or od that is not known has a finding of its own
    if facts.cut_method is not UNSET or facts.out_of_square is not UNSET:
        message = "this revision has no limits for the tube end of this series and od"
        yield Raised("preparation.limits-unknown", _AT + "cut_method", message)
    elif tube.facts.measured_od is not UNSET:
        # The least that a caliper may be believed is theirs too, and none would be the kindest.
        message = "this revision has no uncertainty of the caliper for this series and od"
        yield Raised("preparation.limits-unknown", "/tube/measured_od", message)


def cut_method(end: Prepared) -> Iterator[Raised]:
    """Some ways of cutting harden the end, and others are not known here."""
    stated, cut, at = end.facts.cut_method, end.cut, _AT + "cut_method"
    if stated is UNSET:
        return
    if cut is None:
        code = "preparation.cut-method-unknown"
        yield unknown_id(end, code, at, stated, "cut_methods")
    elif not cut.accepted:
        message = f"cut by `{stated}`, which is refused before a ring"
        yield Raised("preparation.cut-method", at, message, (cut,))


def out_of_square(end: Prepared) -> Iterator[Raised]:
    """An end out of square lets the ring bite on one side only."""
    stated, limits, od_mm = end.facts.out_of_square, end.limits, end.od_mm
    if stated is UNSET or limits is None or not above(stated.value, limits.out_of_square_max_deg):
        return
    gap = ""
    if od_mm is not None and stated.value < 90:
        gap = f" ({length(end, gap_across(D=od_mm, a=stated.value))} across the end)"
    message = (
        f"out of square by {stated.value:g} deg{gap}, limit {limits.out_of_square_max_deg:g} deg"
    )
    yield Raised("preparation.out-of-square", _AT + "out_of_square", message, (limits,))


def burr(end: Prepared) -> Iterator[Raised]:
    """A burr keeps ring or tube from seating."""
    facts = end.facts
    if facts.deburred_inside is False:
        yield Raised("preparation.burr", _AT + "deburred_inside", "burr left inside the end")
    if facts.deburred_outside is False:
        yield Raised("preparation.burr", _AT + "deburred_outside", "burr left outside the end")


def not_clean(end: Prepared) -> Iterator[Raised]:
    """Chips end under the ring, or in the machine."""
    if end.facts.cleaned is False:
        yield Raised("preparation.not-clean", _AT + "cleaned", "the end is not cleaned")


def lubrication(end: Prepared) -> Iterator[Raised]:
    """A metal ring is pressed lubricated, a ring with an elastomer seal dry."""
    stated, ring = end.facts.lubricated, end.ring
    at = _AT + "lubricated"
    if stated is UNSET or ring is None:
        return  # a ring set that is not known has a finding of its own
    if ring.lubrication == "required":
        dry = [part for part in ring.lubricate if part not in stated]
        if dry:
            message = f"{' and '.join(dry)} dry, `{ring.id}` is pressed lubricated"
            yield Raised("preparation.not-lubricated", at, message, (ring,))
    elif ring.lubrication == "dry":
        wet = [part for part in ("ring", "cone") if part in stated]
        if wet:
            message = f"{' and '.join(wet)} lubricated, `{ring.id}` is pressed dry"
            yield Raised("preparation.lubricated-elastomer", at, message, (ring,))


def thread_dry(end: Prepared) -> Iterator[Raised]:
    """Some nuts gall on a dry thread."""
    stated, ring = end.facts.lubricated, end.ring
    if stated is UNSET or ring is None or not ring.oil_thread or "thread" in stated:
        return
    message = f"the thread of the nut of `{ring.id}` is dry"
    yield Raised("preparation.thread-dry", _AT + "lubricated", message, (ring,))


def ring_reversed(end: Prepared) -> Iterator[Raised]:
    """The cutting edge faces the tube end."""
    if end.facts.ring_edge_towards == "nut":
        message = "the cutting edge faces the nut"
        yield Raised("preparation.ring-reversed", _AT + "ring_edge_towards", message)


def nut_reversed(end: Prepared) -> Iterator[Raised]:
    """The nut's thread faces the tube end."""
    if end.facts.nut_thread_towards == "away":
        message = "the thread of the nut faces away from the tube end"
        yield Raised("preparation.nut-reversed", _AT + "nut_thread_towards", message)


def not_bottomed(end: Prepared) -> Iterator[Raised]:
    """A tube that does not stand on the bottom of the cone is pressed in the wrong place."""
    if end.facts.tube_bottomed is False:
        message = "the tube does not stand on the bottom of the cone"
        yield Raised("preparation.not-bottomed", _AT + "tube_bottomed", message)


PREPARATION_RULES = (
    Group(Setup, (limits_unknown,)),
    Group(
        Prepared,
        (
            cut_method,
            out_of_square,
            burr,
            not_clean,
            lubrication,
            thread_dry,
            ring_reversed,
            nut_reversed,
            not_bottomed,
        ),
    ),
)
