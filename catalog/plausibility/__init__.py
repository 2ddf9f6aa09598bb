"""Judgement over whole tables of a proposed revision: what looks wrong before anyone presses."""

from catalog.plausibility.doubt import Doubt, DoubtKind, Weight
from catalog.revision import Revision

__all__ = ["Doubt", "DoubtKind", "Weight", "doubts_of"]


def doubts_of(revision: Revision, before: Revision | None = None) -> tuple[Doubt, ...]:
    """Everything in the tables that looks wrong, strong doubts first, then by id.

    `before` is the revision that is active now: only it, and the absolute bands, can see a factor
    that a whole table shares.
    """
    # Here, and not above: what judges loads numpy, and a service that only answers never judges.
    from catalog.plausibility.judged import judged

    return judged(revision, before)
